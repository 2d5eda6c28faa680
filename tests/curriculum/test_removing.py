"""A level or a figure made by mistake is deleted; one that anything hangs on stays."""

import pytest
from django.urls import reverse

from curriculum.history import keep
from curriculum.models import Caution, Figure, Level, StepChart
from tests.factories import (
    CourseFactory,
    FigureFactory,
    LevelFactory,
    PassageFactory,
    PieceFactory,
    PlanFigureFactory,
    RecordFactory,
    RoutineFactory,
)


def delete(client, name, row):
    return client.post(reverse(f"curriculum:{name}-remove", args=[row.pk]), follow=True).content.decode()


@pytest.mark.parametrize(
    ("name", "factory", "page"),
    [
        ("level", LevelFactory, "dance"),
        ("figure", FigureFactory, "figure-edit"),
        ("routine", RoutineFactory, "routine-edit"),
        ("piece", PieceFactory, "piece-edit"),
    ],
)
def test_what_follows_is_read_before_anything_is_deleted(as_director, name, factory, page):
    """The button on the page of the thing leads to a page that asks, and there is the one that does it."""
    row = factory()
    asks = reverse(f"curriculum:{name}-remove", args=[row.pk])
    stands_on = row.dance_id if name == "level" else row.pk
    shown = as_director.get(reverse(f"curriculum:{page}", args=[stands_on])).content.decode()
    assert f'href="{asks}"' in shown
    assert f'action="{asks}"' not in shown
    asked = as_director.get(asks).content.decode()
    assert "What follows" in asked
    assert '<form method="post">' in asked
    row.refresh_from_db()
    as_director.post(asks)
    assert not type(row).objects.filter(pk=row.pk).exists()


def test_what_is_lost_with_a_figure_is_counted(as_director):
    figure = FigureFactory()
    charts = [StepChart.objects.create(figure=figure) for _ in range(2)]
    PassageFactory(figure=figure, chart=charts[0])
    asked = as_director.get(reverse("curriculum:figure-remove", args=[figure.pk])).content.decode()
    assert "2 charts and 1 way in and out go with it. It cannot be brought back." in asked


def test_what_is_lost_with_a_routine_is_counted(as_director):
    way = PassageFactory()
    routine = RoutineFactory(level=way.figure.level, dances=[way])
    asked = as_director.get(reverse("curriculum:routine-remove", args=[routine.pk])).content.decode()
    assert "1 place of its row goes with it. It cannot be brought back. Its figures stay." in asked


def test_an_empty_level_goes(as_director):
    level = LevelFactory(name="Silver")
    button = reverse("curriculum:level-remove", args=[level.pk])
    assert button in as_director.get(reverse("curriculum:dance", args=[level.dance_id])).content.decode()
    assert "Silver is deleted." in delete(as_director, "level", level)
    assert not Level.objects.exists()


@pytest.mark.parametrize(
    ("factory", "what"), [(FigureFactory, "figures"), (RoutineFactory, "routines"), (CourseFactory, "course")]
)
def test_a_level_with_something_on_it_stays(as_director, factory, what):
    level = LevelFactory()
    factory(level=level)
    assert f"cannot be deleted: {what}" in delete(as_director, "level", level)
    assert Level.objects.filter(pk=level.pk).exists()


def test_a_figure_nobody_uses_goes_with_all_its_parts(as_director):
    needed = FigureFactory()
    figure = FigureFactory(level=needed.level, name="hestation", needs=[needed])
    chart = StepChart.objects.create(figure=figure)
    PassageFactory(figure=figure, chart=chart)
    Caution.objects.create(figure=figure, text="mind the heads")
    keep([figure.pk], by=None)
    assert "hestation is deleted." in delete(as_director, "figure", figure)
    assert list(Figure.objects.all()) == [needed]


def test_a_figure_another_needs_stays_and_the_other_is_named(as_director):
    needed = FigureFactory(name="box")
    FigureFactory(level=needed.level, name="whisk", needs=[needed])
    assert "box cannot be deleted: whisk needs it." in delete(as_director, "figure", needed)
    assert Figure.objects.count() == 2


def test_a_figure_in_a_plan_a_record_or_a_routine_stays(as_director):
    planned, recorded, danced = FigureFactory(), FigureFactory(), FigureFactory()
    PlanFigureFactory(figure=planned)
    RecordFactory(taught={recorded: "introduced"})
    RoutineFactory(level=danced.level, dances=[PassageFactory(figure=danced)])
    for figure in (planned, recorded, danced):
        assert "cannot be deleted:" in delete(as_director, "figure", figure)
    assert Figure.objects.count() == 3


def test_a_figure_that_is_another_s_easier_form_stays(as_director):
    easier = FigureFactory(name="hover")
    FigureFactory(level=easier.level, easier_form=easier)
    assert "hover cannot be deleted: figures" in delete(as_director, "figure", easier)
    assert Figure.objects.filter(pk=easier.pk).exists()
