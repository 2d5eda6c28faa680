"""Lesson shapes are written on a page: kinds of segment, their order and minutes, and what they add up to."""

import pytest
from django.urls import reverse

from lessons.models import LessonShape, ShapeSegment
from lessons.rules.shape_sums import Sums, sums_of
from tests.factories import CourseFactory, LessonShapeFactory

SHAPES, NEW = reverse("lessons:shapes"), reverse("lessons:shape-new")


@pytest.fixture
def shape():
    """Its ideals make an hour."""
    return LessonShapeFactory(name="the usual hour", is_default=True)


def address(shape):
    return reverse("lessons:shape", args=[shape.pk])


def typed(**changed):
    """A shape of two segments, as the page sends it."""
    told = {"name": "a short one", "for_kind": ""}
    for place, (kind, least, ideal, most) in enumerate((("warm_up", 3, 5, 8), ("new", 20, 40, 60)), start=1):
        told |= {f"place_{kind}": place, f"least_{kind}": least, f"ideal_{kind}": ideal, f"most_{kind}": most}
    return told | changed


def written(shape):
    rows = ShapeSegment.objects.filter(shape=shape)
    return [(row.kind, row.least, row.ideal, row.most, row.give_way) for row in rows]


def test_the_list_shows_each_shape_and_what_it_adds_up_to(as_director, shape):
    CourseFactory(name="Waltz on Tuesdays", shape=shape)
    text = as_director.get(SHAPES).content.decode()
    assert "At their ideals 60 minutes; 32 at the least, 102 at the most." in text
    assert "A lesson of 60 minutes: It fits exactly, everything at its ideal." in text
    assert "A lesson of 75 minutes: It fits: everything together gains 15 minutes." in text
    assert "Used by Waltz on Tuesdays." in text


def test_a_school_without_a_shape_is_told_what_happens(as_director):
    assert "No shape yet." in as_director.get(SHAPES).content.decode()


def test_a_shape_is_added(as_director):
    answer = as_director.post(NEW, typed(gives_new="4"), follow=True)
    shape = LessonShape.objects.get(name="a short one")
    assert written(shape) == [("warm_up", 3, 5, 8, 0), ("new", 20, 40, 60, 4)]
    assert "“a short one” is saved." in answer.content.decode()


def test_the_order_is_that_of_the_places_with_or_without_gaps(as_director):
    as_director.post(NEW, typed(place_warm_up="7", place_new="3"))
    assert [row[0] for row in written(LessonShape.objects.get())] == ["new", "warm_up"]


def test_a_shape_is_changed_whole(as_director, shape):
    as_director.post(address(shape), typed())
    shape.refresh_from_db()
    assert shape.name == "a short one"
    assert [row[0] for row in written(shape)] == ["warm_up", "new"]


def test_the_form_shows_what_stands(as_director, shape):
    form = as_director.get(address(shape)).context["form"]
    assert (form["place_recap"].value(), form["ideal_recap"].value()) == (3, 8)
    assert form.sums == Sums(32, 60, 102)


def test_adding_up_saves_nothing_and_loses_nothing(as_director, shape):
    answer = as_director.post(address(shape), typed(add_up="1", ideal_new="60"))
    assert answer.context["form"].sums == Sums(23, 65, 68)
    assert "It fits: everything together gives up 5 minutes." in answer.content.decode()
    assert 'value="a short one"' in answer.content.decode()
    shape.refresh_from_db()
    assert shape.name == "the usual hour"
    assert len(written(shape)) == 8


def test_there_is_one_usual_shape(as_director, shape):
    as_director.post(NEW, typed(is_default="on"))
    assert LessonShape.objects.get(is_default=True).name == "a short one"


def test_one_shape_is_for_a_kind_of_lesson(as_director, shape):
    LessonShapeFactory(name="revision hour", for_kind="revision")
    answer = as_director.post(NEW, typed(for_kind="revision"))
    assert answer.context["form"].errors == {
        "for_kind": ["“revision hour” is for lessons of this kind already."]
    }
    as_director.post(NEW, typed(for_kind="workshop"))
    assert LessonShape.objects.get(for_kind="workshop").name == "a short one"


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "the usual hour"}, "name"),
        ({"for_kind": "gala"}, "for_kind"),
        ({"for_kind": "ordinary"}, "for_kind"),
        ({"ideal_new": ""}, "ideal_new"),
        ({"most_new": ""}, "most_new"),
        ({"least_new": "41"}, "least_new"),
        ({"most_new": "39"}, "most_new"),
        ({"ideal_new": "soon"}, "ideal_new"),
        ({"least_new": "-1"}, "least_new"),
        ({"most_new": "241"}, "most_new"),
        ({"place_new": "1"}, "place_new"),
        ({"place_new": "0"}, "place_new"),
        ({"gives_new": "10"}, "gives_new"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_kept(as_director, shape, wrong, field):
    answer = as_director.post(NEW, typed(**wrong))
    form = answer.context["form"]
    assert list(form.errors) == [field]
    assert len(form.errors[field]) == 1
    assert f'id="id_{field}_error"' in answer.content.decode()
    assert form[field].value() == wrong[field]
    assert LessonShape.objects.count() == 1


def test_a_shape_of_nothing_is_none(as_director):
    text = as_director.post(NEW, typed(place_warm_up="", place_new="")).content.decode()
    assert "Give at least one kind of segment a place." in text
    assert not LessonShape.objects.exists()


def test_an_instructor_reads_the_shapes_and_changes_none(client, instructor, shape):
    client.force_login(instructor)
    text = client.get(SHAPES).content.decode()
    assert "The usual hour" in text
    assert address(shape) not in text
    assert client.post(address(shape), typed()).status_code == 403


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        (22, "1 minute too many, even with everything at its shortest."),
        (40, "It fits: everything together gives up 5 minutes."),
        (45, "It fits exactly, everything at its ideal."),
        (46, "It fits: everything together gains 1 minute."),
        (70, "2 minutes left over, with everything at its longest."),
    ],
)
def test_minutes_are_held_against_a_lesson(minutes, said):
    assert Sums(23, 45, 68).against(minutes) == said


def test_nothing_adds_up_to_nothing():
    assert sums_of([]) == Sums(0, 0, 0)


@pytest.mark.parametrize("size", [2, 9])
def test_list_and_form_cost_the_same_whatever_the_size(as_director, size, django_assert_num_queries):
    for _ in range(size):
        course = CourseFactory(shape=LessonShapeFactory())
    with django_assert_num_queries(7):
        as_director.get(SHAPES)
    with django_assert_num_queries(7):
        as_director.get(address(course.shape))
