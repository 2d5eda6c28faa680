"""A lesson is cancelled, moved, or given to somebody else; what follows is said first."""

import datetime as dt

import pytest
from django.urls import reverse

from lessons.models import Away, LessonInstructor, TeachesNot
from tests.factories import (
    ClosureFactory,
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    HelperCallFactory,
    LessonFactory,
    PersonFactory,
    PlanFactory,
    PlanFigureFactory,
    PrivateLessonFactory,
    RecordFactory,
    RoomFactory,
)

TODAY = dt.date(2026, 1, 14)
CHANGES = ("cancel", "restore", "move", "give")


@pytest.fixture(autouse=True)
def second_week(settings, school):
    settings.TODAY = TODAY.isoformat()


@pytest.fixture
def lesson(lessons, course):
    """The third, which introduces the whisk."""
    whisk = FigureFactory(level=course.levels.get(), name="whisk")
    PlanFigureFactory(plan=PlanFactory(course=course, status="published"), figure=whisk, new_in=lessons[2])
    return lessons[2]


def address(change, lesson):
    return reverse(f"lessons:lesson-{change}", args=[lesson.pk])


def moved_to(lesson, **changed):
    to = {"date": lesson.date.isoformat(), "start": lesson.start.strftime("%H:%M"), "room": lesson.room_id}
    return to | changed


def test_cancelling_says_first_what_is_planned_there_and_whom_it_meets(as_director, course, lesson):
    EnrolmentFactory(course=course)
    text = as_director.get(address("cancel", lesson)).content.decode()
    assert "New here: whisk." in text
    assert "1 person is enrolled." in text
    lesson.refresh_from_db()
    assert not lesson.is_cancelled


def test_a_cancelled_lesson_stays_with_its_reason(as_director, lesson):
    answer = as_director.post(address("cancel", lesson), {"because": "boiler broken"}, follow=True)
    lesson.refresh_from_db()
    assert lesson.is_cancelled
    assert lesson.cancelled_because == "boiler broken"
    assert "No class on Tuesday 20 January: boiler broken." in answer.content.decode()


def test_cancelling_asks_why(as_director, lesson):
    assert 'class="error"' in as_director.post(address("cancel", lesson), {"because": ""}).content.decode()
    lesson.refresh_from_db()
    assert not lesson.is_cancelled


def test_what_took_place_is_not_cancelled(as_director, lesson):
    RecordFactory(lesson=lesson)
    text = as_director.post(address("cancel", lesson), {"because": "too late"}).content.decode()
    assert "This lesson has been recorded" in text
    assert "too late" in text


def test_a_lesson_moves_within_its_week_at_once(as_director, lesson):
    loft = RoomFactory(name="Loft")
    data = moved_to(lesson, date="2026-01-21", start="18:00", room=loft.pk)
    answer = as_director.post(address("move", lesson), data, follow=True)
    lesson.refresh_from_db()
    assert (lesson.date, lesson.start, lesson.room) == (dt.date(2026, 1, 21), dt.time(18, 0), loft)
    assert lesson.first_date == dt.date(2026, 1, 20)
    assert "Moved to Wednesday 21 January, 18:00, Loft." in answer.content.decode()


def test_a_move_that_passes_another_lesson_is_said_before_it_is_made(as_director, lesson):
    data = moved_to(lesson, date="2026-01-28")
    asked = as_director.post(address("move", lesson), data)
    text = asked.content.decode()
    assert "It passes the lesson of Tuesday 27 January" in text
    assert "Move it all the same" in text
    lesson.refresh_from_db()
    assert lesson.date == dt.date(2026, 1, 20)

    seen = data | {"seen": asked.context["form"]["seen"].value()}
    assert as_director.post(address("move", lesson), seen).status_code == 302
    lesson.refresh_from_db()
    assert lesson.date == dt.date(2026, 1, 28)


def test_consequences_that_are_new_are_said_again(as_director, lesson):
    first = as_director.post(address("move", lesson), moved_to(lesson, date="2026-01-28"))
    other = moved_to(lesson, date="2026-06-30", seen=first.context["form"]["seen"].value())
    assert "lies outside" in as_director.post(address("move", lesson), other).content.decode()
    lesson.refresh_from_db()
    assert lesson.date == dt.date(2026, 1, 20)


def test_a_day_without_class_and_a_taken_room_are_refused_at_their_field(as_director, lesson):
    ClosureFactory(first_day=dt.date(2026, 1, 22), reason="floor sanded")
    LessonFactory(date=dt.date(2026, 1, 21), room=lesson.room, course=CourseFactory(name="Tango"))
    closed = as_director.post(address("move", lesson), moved_to(lesson, date="2026-01-22"))
    assert closed.context["form"].errors == {
        "date": ["There is no class on Thursday 22 January: floor sanded."]
    }
    taken = as_director.post(address("move", lesson), moved_to(lesson, date="2026-01-21"))
    assert "is taken then: Tango" in taken.context["form"].errors["room"][0]
    lesson.refresh_from_db()
    assert lesson.date == dt.date(2026, 1, 20)


def test_what_cannot_be_is_refused_before_anything_is_asked(as_director, lesson):
    """The 29th passes the lesson of the 27th, but there is no class then anyway."""
    ClosureFactory(first_day=dt.date(2026, 1, 29), reason="floor sanded")
    answer = as_director.post(address("move", lesson), moved_to(lesson, date="2026-01-29"))
    assert answer.context["form"].errors["date"] == [
        "There is no class on Thursday 29 January: floor sanded."
    ]
    assert not answer.context["asks_again"]


@pytest.mark.parametrize(
    ("to", "said"),
    [
        ({"start": "03:00"}, "It begins at 03:00, before 07:00."),
        ({"start": "21:30"}, "Loft: Music off at 21:45."),
        ({}, "Loft: Too small for a dance that travels"),
        ({}, "Loft: People allowed: 1; expected, with whoever teaches: 2."),
        ({"date": "2026-01-12"}, "Monday 12 January is past"),
        ({"date": "2027-01-19"}, "Tuesday 19 January 2027 lies outside"),
    ],
)
def test_what_the_hall_and_the_clock_say_against_it_is_read_first(as_director, lesson, to, said):
    EnrolmentFactory(course=lesson.course)
    dance = lesson.course.dance
    dance.floor_use = "travels"
    dance.save()
    loft = RoomFactory(name="Loft", people=1, travelling_dances=False, music_off=dt.time(21, 45))
    asked = as_director.post(address("move", lesson), moved_to(lesson, room=loft.pk, **to))
    assert any(sentence.startswith(said) for sentence in asked.context["follows"])
    assert "Read this first" in asked.content.decode()
    seen = moved_to(lesson, room=loft.pk, **to, seen=asked.context["form"]["seen"].value())
    assert as_director.post(address("move", lesson), seen).status_code == 302


def test_a_room_that_is_full_with_a_called_helper_is_said_before_the_lesson_moves_there(as_director, lesson):
    EnrolmentFactory(course=lesson.course)
    loft = RoomFactory(name="Loft", people=2)
    HelperCallFactory(lesson=lesson)
    asked = as_director.post(address("move", lesson), moved_to(lesson, room=loft.pk))
    assert asked.context["follows"] == ["Loft: People allowed: 2; expected, with whoever teaches: 3."]


def test_a_cancelled_lesson_leads_to_the_page_on_which_it_takes_place_after_all(as_director, lesson):
    as_director.post(address("cancel", lesson), {"because": "boiler broken"})
    page = as_director.get(reverse("lessons:lesson", args=[lesson.pk])).content.decode()
    assert address("restore", lesson) in page
    assert "New here: whisk." in as_director.get(address("restore", lesson)).content.decode()
    answer = as_director.post(address("restore", lesson), follow=True)
    assert "The lesson of Tuesday 20 January takes place after all." in answer.content.decode()
    lesson.refresh_from_db()
    assert not lesson.is_cancelled


def test_one_whose_room_is_taken_by_now_stays_cancelled_and_says_why(as_director, lesson):
    as_director.post(address("cancel", lesson), {"because": "boiler broken"})
    LessonFactory(date=lesson.date, room=lesson.room, course=CourseFactory(name="Tango"))
    assert "is taken then: Tango" in as_director.post(address("restore", lesson)).content.decode()


def test_giving_it_to_whoever_has_it_is_refused_at_the_field(as_director, instructor, lesson):
    answer = as_director.post(address("give", lesson), {"to": instructor.pk})
    assert answer.context["form"].errors["to"] == ["Tobin Marl gives this lesson already."]


@pytest.mark.parametrize(
    "wrong", [{"date": "soon"}, {"date": ""}, {"start": "25:00"}, {"room": "999999"}, {"room": ""}]
)
def test_a_date_time_or_room_that_is_none_is_refused(as_director, lesson, wrong):
    answer = as_director.post(address("move", lesson), moved_to(lesson, **wrong))
    assert list(answer.context["form"].errors) == list(wrong)


def test_a_lesson_is_given_to_another_instructor(as_director, instructor, lesson):
    wren = PersonFactory(name="Wren Tansley", roles=["instructor"])
    assert (
        "Tobin Marl now stands in front of it." in as_director.get(address("give", lesson)).content.decode()
    )
    answer = as_director.post(address("give", lesson), {"to": wren.pk}, follow=True)
    assert "Wren Tansley takes the lesson of Tuesday 20 January." in answer.content.decode()
    assert [(row.person, row.covers) for row in LessonInstructor.objects.filter(lesson=lesson)] == [
        (wren, True)
    ]


def test_who_teaches_then_or_is_no_instructor_cannot_take_it(as_director, student, lesson):
    wren = PersonFactory(name="Wren Tansley", roles=["instructor"])
    LessonFactory(date=lesson.date, start=lesson.start, course=CourseFactory(name="Tango", taught_by=[wren]))
    busy = as_director.post(address("give", lesson), {"to": wren.pk})
    assert "Wren Tansley teaches then already: Tango" in busy.context["form"].errors["to"][0]
    assert as_director.post(address("give", lesson), {"to": student.pk}).context["form"].errors
    assert as_director.post(address("give", lesson), {"to": ""}).context["form"].errors
    assert not LessonInstructor.objects.exists()


def test_who_is_free_stands_first_and_the_others_say_what_keeps_them(as_director, lesson, course):
    _free, busy, away, no_waltz, private = (
        PersonFactory(name=name, roles=["instructor"])
        for name in ("Wren Tansley", "Bram Sallow", "Ada Pell", "Cato Vane", "Dilys Orme")
    )
    LessonFactory(date=lesson.date, start=lesson.start, course=CourseFactory(name="Tango", taught_by=[busy]))
    Away.objects.create(person=away, first_day=lesson.date, last_day=lesson.date)
    TeachesNot.objects.create(person=no_waltz, dance=course.dance)
    PrivateLessonFactory(instructor=private, date=lesson.date, start=lesson.start)
    _, *groups = as_director.get(address("give", lesson)).context["form"].fields["to"].choices
    told = {words: [name for _, name in group] for words, group in groups}
    assert "Wren Tansley" in told["Free then"]
    hour = f"{lesson.start:%H:%M}"
    assert {*told["Not free"]} >= {
        "Ada Pell: away",
        f"Bram Sallow: Tango at {hour}",
        f"Cato Vane: does not teach {course.dance.name}",
        f"Dilys Orme: a private lesson at {hour}",
    }


@pytest.mark.parametrize("change", CHANGES)
def test_only_a_director_changes_a_lesson(client, instructor, student, lesson, change):
    for person, status in ((instructor, 403), (student, 404)):
        client.force_login(person)
        assert client.get(address(change, lesson)).status_code == status
        assert client.post(address(change, lesson), moved_to(lesson)).status_code == status


@pytest.mark.parametrize("change", CHANGES)
def test_there_is_no_other_way_to_change_one(as_director, lesson, change):
    assert as_director.put(address(change, lesson)).status_code == 405


@pytest.mark.parametrize("change", CHANGES)
def test_there_is_no_such_lesson(as_director, change):
    assert as_director.get(reverse(f"lessons:lesson-{change}", args=[999_999])).status_code == 404


@pytest.mark.parametrize("change", CHANGES)
@pytest.mark.parametrize("size", [2, 9])
def test_each_form_costs_the_same_whatever_the_size(
    as_director, course, lessons, change, size, django_assert_num_queries
):
    plan = PlanFactory(course=course, status="published")
    for _ in range(size):
        EnrolmentFactory(course=course)
        PlanFigureFactory(plan=plan, figure=FigureFactory(level=course.levels.get()), new_in=lessons[2])
        PersonFactory(roles=["instructor"])
        RoomFactory()
    with django_assert_num_queries({"cancel": 19, "restore": 19, "move": 18, "give": 16}[change]):
        as_director.get(address(change, lessons[2]))
