"""The page of a figure says what is so now, of the figure itself and of all that it speaks of."""

import pytest
from django.urls import reverse

from curriculum.check import rules_of
from curriculum.models import Caution, ChartStep, Fault, FigureName, Rhythm, RhythmCount, StepChart
from tests.factories import (
    CourseFactory,
    DanceFactory,
    EnrolmentFactory,
    FigureFactory,
    HoldFactory,
    LevelFactory,
    PassageFactory,
    RoutineFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def dance(school):
    return DanceFactory(name="waltz", beats_per_bar=3)


@pytest.fixture
def level(dance):
    return LevelFactory(dance=dance, rank=1, name="Beginners")


@pytest.fixture
def whisk(level, dance):
    """A figure with one of everything, danced from a closed hold into another."""
    closed = HoldFactory(dance=dance, name="closed as it was")
    open_hold = HoldFactory(dance=dance, name="open as it was")
    needed = FigureFactory(level=level, name="box as it was")
    whisk = FigureFactory(level=level, name="whisk", needs=[needed])
    whisk.easier_form = FigureFactory(level=level, name="easier as it was")
    whisk.save()
    FigureFactory(level=level, name="opened as it was", needs=[whisk])
    FigureFactory(level=level, name="grown as it was", open_form=whisk)
    chart = StepChart.objects.create(figure=whisk, name="chart as it was")
    for role in "LF":
        ChartStep.objects.create(
            chart=chart,
            role=role,
            position=0,
            count="1",
            ticks=12,
            action="hold",
            hold=open_hold,
            cue="cue as it was",
        )
    way = PassageFactory(
        figure=whisk, entry_hold=closed, exit_hold=open_hold, chart=chart, label="label as it was"
    )
    RoutineFactory(level=level, name="routine as it was", dances=[way])
    FigureName.objects.create(dance=dance, figure=whisk, name="other as it was")
    Caution.objects.create(figure=whisk, text="caution as it was")
    Fault.objects.create(figure=whisk, fault="fault as it was", remedy="remedy as it was")
    return whisk


def words_on(client, figure):
    return client.get(reverse("curriculum:figure", args=[figure.pk])).content.decode()


@pytest.mark.parametrize(
    ("of", "field"),
    [
        (lambda whisk: whisk.passages.get().entry_hold, "name"),
        (lambda whisk: whisk.passages.get().exit_hold, "name"),
        (lambda whisk: whisk.passages.get(), "label"),
        (lambda whisk: whisk.charts.get(), "name"),
        (lambda whisk: whisk.charts.get().steps.first(), "cue"),
        (lambda whisk: whisk.prerequisites.get().needs, "name"),
        (lambda whisk: whisk.opens.get().figure, "name"),
        (lambda whisk: whisk.easier_form, "name"),
        (lambda whisk: whisk.closed_forms.get(), "name"),
        (lambda whisk: whisk.passages.get().routineitem_set.get().routine, "name"),
        (lambda whisk: whisk.names.get(is_main=False), "name"),
        (lambda whisk: whisk.cautions.get(), "text"),
        (lambda whisk: whisk.faults.get(), "fault"),
        (lambda whisk: whisk.faults.get(), "remedy"),
        (lambda whisk: whisk.level, "name"),
        (lambda whisk: whisk.dance, "name"),
    ],
)
def test_what_is_renamed_is_called_by_its_new_name_at_once(as_director, whisk, of, field):
    renamed = of(whisk)
    before = getattr(renamed, field)
    assert before in words_on(as_director, whisk)
    setattr(renamed, field, "by its new name")
    renamed.save()
    assert "by its new name" in words_on(as_director, whisk)


def test_a_student_is_told_the_name_of_a_form_above_without_a_way_to_it(client, student, dance, level, whisk):
    above = LevelFactory(dance=dance, rank=2, name="Improvers")
    whisk.extension = FigureFactory(level=above, name="wing")
    whisk.save()
    FigureFactory(level=above, name="secret spin", easier_form=whisk, needs=[whisk])
    EnrolmentFactory(course=CourseFactory(level=level), person=student)
    client.force_login(student)
    page = client.get(reverse("curriculum:figure", args=[whisk.pk]))
    around, words = page.context["page"].around, page.content.decode()
    assert [(what, form.name, is_open) for what, form, is_open in around.forms] == [
        ("An easier form", "easier as it was", True),
        ("Grows into", "wing", False),
        ("In a closed hold", "grown as it was", True),
    ]
    assert reverse("curriculum:figure", args=[whisk.extension_id]) not in words
    assert "secret spin" not in words


def test_rhythms_are_read_by_name_with_their_counts_in_order_also_one_without(dance):
    slow = Rhythm.objects.create(dance=dance, name="b")
    for position, count in ((1, "3"), (0, "1")):
        RhythmCount.objects.create(rhythm=slow, position=position, count=count, ticks=12 * (2 - position))
    Rhythm.objects.create(dance=dance, name="a")
    assert rules_of(dance).units == ((), (("1", 24), ("3", 12)))
