"""Two people at one form about lessons: the second sees what the first wrote and loses nothing."""

import pytest
from django.urls import reverse

from lessons.models import Helper, LessonSession, Milestone, Requirement
from tests.factories import (
    ClosureFactory,
    DanceFactory,
    FigureFactory,
    HelperFactory,
    LessonShapeFactory,
    PersonFactory,
    RoomFactory,
)
from tests.two_writers import change, opened

SEGMENTS = [("warm_up", 3, 5, 8), ("new", 20, 40, 60)]


@pytest.fixture(autouse=True)
def third_week(settings, school):
    settings.TODAY = "2026-01-20"


@pytest.fixture
def pages(course, lessons, instructor):
    """Name of a page with a form -> the address at which somebody changes what stands there."""
    wren = PersonFactory(name="Wren Pell", roles=["instructor"])
    course.courseinstructor_set.create(person=wren)
    whisk = FigureFactory(level=course.levels.get(), name="whisk")
    stone = Milestone.objects.create(course=course, name="showcase", day=lessons[3].date)
    stone.figures.add(whisk)
    keys = {
        "lessons:shape": LessonShapeFactory(name="short", segments=SEGMENTS).pk,
        "lessons:helper": HelperFactory(person=PersonFactory(name="Ada Merrow"), role="L").person_id,
        "lessons:lesson-kind": lessons[3].pk,
        "lessons:teaching-pair": lessons[3].pk,
        "lessons:lesson-move": lessons[3].pk,
        "lessons:lesson-give": lessons[3].pk,
        "lessons:closure-edit": ClosureFactory(reason="burst pipe").pk,
        "lessons:milestone": stone.pk,
        "lessons:term-edit": course.term_id,
        "curriculum:tempo": course.dance_id,
        "curriculum:dance-edit": course.dance_id,
        "school:room": RoomFactory().pk,
        "school:person-edit": wren.pk,
        "school:person-roles": wren.pk,
    }
    return {name: reverse(name, args=[key]) for name, key in keys.items()}


def test_every_form_of_a_row_says_what_it_began_from(as_director, pages):
    for name, address in pages.items():
        sent = as_director.get(address).content.decode()
        assert 'name="began_from"' in sent, name


@pytest.mark.parametrize(
    ("name", "first", "second", "label"),
    [
        ("lessons:shape", {"ideal_new": "45"}, {"name": "a short hour"}, "new: ideal"),
        ("lessons:helper", {"role": "B"}, {}, "Can dance as"),
        ("lessons:lesson-kind", {"kind": "workshop"}, {"kind": "test"}, "Kind of lesson"),
        ("lessons:lesson-move", {"start": "20:15"}, {"date": "2026-01-28"}, "Start"),
        ("lessons:milestone", {"name": "test night"}, {"day": "2026-02-10"}, "What it is"),
        ("curriculum:tempo", {"note": "as we dance it"}, {"note": "as they do"}, "Note"),
    ],
)
def test_what_only_the_first_changed_is_shown_and_nothing_of_it_is_put_back(
    as_director, pages, name, first, second, label
):
    address = pages[name]
    mine = opened(as_director, address)
    assert change(as_director, address, **first).status_code == 302
    answer = as_director.post(address, mine | second)
    assert answer.status_code == 409
    assert label in [one.label for one in answer.context["differ"]]
    assert "Somebody else saved this" in answer.content.decode()
    for field, value in second.items():
        assert answer.context["form"][field].value() == value
    for field, value in first.items():
        if field not in second:
            assert str(answer.context["form"][field].value())[:5] == value[:5]


def test_days_without_class(as_director, pages):
    address = pages["lessons:closure-edit"]
    mine = opened(as_director, address)
    first = mine | {"reason": "flood"}
    seen = as_director.post(address, first).context["form"]["seen"].value()
    assert as_director.post(address, first | {"seen": seen}).status_code == 302
    answer = as_director.post(address, mine | {"reason": "paint"})
    assert answer.status_code == 409
    assert [(one.stands, one.typed) for one in answer.context["differ"]] == [("flood", "paint")]


def test_a_lesson_moved_twice_at_once_goes_where_the_first_said(as_director, pages, lessons):
    address = pages["lessons:lesson-move"]
    mine = opened(as_director, address)
    change(as_director, address, start="20:15")
    as_director.post(address, mine | {"date": "2026-01-28"})
    moved = LessonSession.objects.get(pk=lessons[3].pk)
    assert (moved.date, f"{moved.start:%H:%M}") == (lessons[3].date, "20:15")


def test_the_dances_of_a_helper(as_director, pages):
    helper, tango = Helper.objects.get(), DanceFactory(name="tango")
    address = pages["lessons:helper"]
    mine = opened(as_director, address)
    change(as_director, address, dances=[tango.pk])
    answer = as_director.post(address, mine | {"role": "F"})
    assert answer.context["form"]["dances"].value() == [str(tango.pk)]
    assert list(helper.dances.all()) == [tango]


def test_the_list_before_the_next_level_is_told_as_it_now_reads(as_director, course):
    level = course.levels.get()
    address = reverse("lessons:requirements", args=[level.pk])
    read = as_director.get(address).context["read"]
    Requirement.objects.create(level=level, habit="keeps the frame", role="L")
    prefix = as_director.get(address).context["lines"].prefix
    sent = {f"{prefix}-TOTAL_FORMS": 0, f"{prefix}-INITIAL_FORMS": 0, "read": read}
    answer = as_director.post(address, sent).content.decode()
    assert "It now asks for: keeps the frame (leaders)." in answer


def test_a_lesson_given_twice_at_once_is_given_once(as_director, pages, lessons, instructor):
    address = pages["lessons:lesson-give"]
    wren, lark = (PersonFactory(name=name, roles=["instructor"]) for name in ("Wren Arle", "Lark Pell"))
    mine = opened(as_director, address)
    change(as_director, address, to=wren.pk)
    answer = as_director.post(address, mine | {"to": lark.pk})
    assert answer.status_code == 409
    assert [(one.stands, one.typed) for one in answer.context["differ"]] == [("Wren Arle", "Lark Pell")]
    assert [row.person for row in lessons[3].lessoninstructor_set.all()] == [wren]
