"""A student's level as a ladder: taught only if recorded, then what is planned, then what lies beyond."""

import datetime as dt

import pytest
from django.urls import reverse

from lessons.models import Attendance, OwnMark, OwnNote
from tests.factories import (
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    LevelFactory,
    PassageFactory,
    PersonFactory,
    PlanFactory,
    PlanFigureFactory,
    PrivateLessonFactory,
    RecordFactory,
    RoutineFactory,
    TermFactory,
    weekly_lessons,
)

TODAY = dt.date(2026, 1, 14)


@pytest.fixture(autouse=True)
def second_week(settings, school):
    settings.TODAY = TODAY.isoformat()


@pytest.fixture
def level():
    return LevelFactory(rank=2, name="Improvers")


@pytest.fixture
def course(level):
    return CourseFactory(level=level, name="Waltz on Tuesdays")


def address(course):
    return reverse("lessons:my-level-course", args=[course.pk])


def read(client, course):
    return client.get(address(course)).context["level"]


def names(rungs):
    return [rung.figure.name for rung in rungs]


def test_the_ladder_is_taught_then_next_then_later_then_beyond(as_student, level, course, lessons, plan):
    def figure(name):
        return FigureFactory(level=level, name=name)

    whisk, chasse, lock, spin = figure("whisk"), figure("chasse"), figure("back lock"), figure("spin turn")
    for each, lesson in ((whisk, lessons[0]), (chasse, lessons[2]), (lock, lessons[3]), (spin, None)):
        PlanFigureFactory(plan=plan, figure=each, new_in=lesson)
    RecordFactory(lesson=lessons[0], taught={whisk: "introduced"})
    ladder = read(as_student, course)
    assert names(ladder.taught) == ["whisk"]
    assert ladder.taught[0].lesson == lessons[0]
    assert names(ladder.next) == ["chasse"]
    assert names(ladder.later) == ["back lock"]
    assert names(ladder.beyond) == ["spin turn"]


def test_what_was_planned_but_never_recorded_is_not_taught(as_student, level, course, lessons, plan):
    PlanFigureFactory(plan=plan, figure=FigureFactory(level=level, name="whisk"), new_in=lessons[0])
    ladder = read(as_student, course)
    assert ladder.taught == ()
    assert names(ladder.beyond) == ["whisk"]


def test_what_the_plan_has_again_comes_then_though_it_was_never_recorded(
    as_student, level, course, lessons, plan
):
    whisk, lock = (FigureFactory(level=level, name=name) for name in ("whisk", "back lock"))
    PlanFigureFactory(
        plan=plan, figure=whisk, new_in=lessons[0], again_in=[lessons[1], lessons[2], lessons[3]]
    )
    PlanFigureFactory(plan=plan, figure=lock, new_in=lessons[0], again_in=[lessons[1]])
    ladder = read(as_student, course)
    assert (names(ladder.next), names(ladder.beyond)) == (["whisk"], ["back lock"])
    course.plan_open = False
    course.save()
    assert set(names(read(as_student, course).beyond)) == {"whisk", "back lock"}


def test_a_course_that_has_not_begun_says_what_its_level_holds(as_student, level, course, lessons):
    FigureFactory(level=level, name="whisk")
    text = as_student.get(address(course)).content.decode()
    assert "No lesson has been written up yet." in text
    assert "<h2>Still to come on this level</h2>" in text
    assert ">Beyond" not in text


def test_a_draft_shows_nothing_to_students(as_student, level, course, lessons):
    draft = PlanFactory(course=course)
    PlanFigureFactory(plan=draft, figure=FigureFactory(level=level, name="whisk"), new_in=lessons[2])
    assert read(as_student, course).next == ()


def test_a_plan_kept_from_students_says_no_order_and_no_day(as_student, level, course, lessons, plan):
    whisk, lock, spin = (
        FigureFactory(level=level, name=name) for name in ("whisk", "back lock", "spin turn")
    )
    PlanFigureFactory(plan=plan, figure=spin, new_in=lessons[2])
    RecordFactory(lesson=lessons[0], taught={whisk: "introduced", lock: "finish_later"})
    course.plan_open = False
    course.save()
    ladder = read(as_student, course)
    assert (ladder.next, ladder.later) == ((), ())
    assert names(ladder.beyond) == ["back lock", "spin turn"]
    assert names(ladder.taught) == ["whisk"]
    assert "planned, may change" not in as_student.get(address(course)).content.decode()


def test_the_last_lesson_stands_on_top_with_what_it_did(as_student, student, level, course, lessons):
    whisk, lock, spin = (
        FigureFactory(level=level, name=name) for name in ("whisk", "back lock", "spin turn")
    )
    RecordFactory(lesson=lessons[0], taught={whisk: "introduced"})
    RecordFactory(lesson=lessons[1], taught={lock: "introduced", whisk: "reviewed", spin: "not_reached"})
    last = read(as_student, course).last
    assert (last.lesson, last.missed) == (lessons[1], "you weren’t there")
    assert [row.figure.name for row in last.figures] == ["back lock", "whisk"]
    Attendance.objects.create(record=lessons[1].record, person=student, role="F")
    assert read(as_student, course).last.missed == ""


def test_what_was_planned_for_a_lesson_not_written_up_yet_says_so(as_student, level, course, lessons, plan):
    """The plan has the whisk again in the next lesson: tonight's sheet calls it that too."""
    whisk, lock = FigureFactory(level=level, name="whisk"), FigureFactory(level=level, name="back lock")
    PlanFigureFactory(plan=plan, figure=whisk, new_in=lessons[1], again_in=[lessons[2]])
    PlanFigureFactory(plan=plan, figure=lock, new_in=lessons[1])
    ladder = read(as_student, course)
    assert (ladder.taught, ladder.unwritten) == ((), (lessons[0], lessons[1]))
    assert [(rung.figure, rung.unwritten) for rung in ladder.next] == [(whisk, lessons[1].date)]
    assert [(rung.figure, rung.unwritten) for rung in ladder.beyond] == [(lock, lessons[1].date)]
    text = " ".join(as_student.get(address(course)).content.decode().split())
    assert "The lesson of Tuesday 13 January is not written up yet." in text
    assert text.count("was planned as new on 13 January, not written up yet") == 2
    assert text.count('<span class="tag again">Again</span>') == 1
    RecordFactory(lesson=lessons[1], taught={lock: "introduced"})
    ladder = read(as_student, course)
    assert (names(ladder.taught), ladder.unwritten) == (["back lock"], ())
    assert [(rung.figure, rung.unwritten) for rung in ladder.next] == [(whisk, None)]


def test_a_plan_kept_from_students_says_nothing_of_what_was_to_be_new(
    as_student, level, course, lessons, plan
):
    PlanFigureFactory(plan=plan, figure=FigureFactory(level=level), new_in=lessons[1])
    course.plan_open = False
    course.save()
    assert [rung.unwritten for rung in read(as_student, course).beyond] == [None]


def test_ones_own_marks_and_notes_stand_on_the_rungs_of_the_ladder(
    as_student, student, level, course, lessons
):
    whisk = FigureFactory(level=level, name="whisk")
    RecordFactory(lesson=lessons[0], taught={whisk: "introduced"})
    for role, mark in (("F", "easy"), ("L", "not_yet")):
        OwnMark.objects.create(person=student, figure=whisk, role=role, mark=mark)
    OwnMark.objects.create(person=PersonFactory(), figure=whisk, role="F", mark="thinking")
    OwnNote.objects.create(person=PersonFactory(), figure=whisk, text="somebody else's")
    own = read(as_student, course).taught[0].own
    assert own.said == [("L", "leader", "not yet"), ("F", "follower", "without thinking")]
    assert not own.has_note


def test_what_was_made_good_in_another_course_is_missed_no_more(as_student, student, level, course, lessons):
    whisk = FigureFactory(level=level, name="whisk")
    RecordFactory(lesson=lessons[0], taught={whisk: "introduced"})
    other = weekly_lessons(CourseFactory(level=level, term=course.term), 1, first=TODAY)[0]
    there = RecordFactory(lesson=other, taught={whisk: "reviewed"})
    assert names(read(as_student, course).missed) == ["whisk"]
    Attendance.objects.create(record=there, person=student, role="F")
    ladder = read(as_student, course)
    assert ladder.missed == ()
    assert (ladder.taught[0].missed, ladder.taught[0].caught_up) == ("", TODAY)


def test_what_was_begun_is_finished_next(as_student, level, course, lessons, plan):
    whisk = FigureFactory(level=level, name="whisk")
    PlanFigureFactory(plan=plan, figure=whisk, new_in=lessons[0])
    RecordFactory(lesson=lessons[0], taught={whisk: "finish_later"})
    rung = read(as_student, course).next[0]
    assert (rung.figure, rung.begun, rung.lesson) == (whisk, True, lessons[2])


def test_a_lesson_the_student_missed_is_marked(as_student, student, level, course, lessons):
    box, whisk, lock = (FigureFactory(level=level, name=name) for name in ("box", "whisk", "lock"))
    RecordFactory(lesson=lessons[0], taught={box: "introduced"})
    there = RecordFactory(lesson=lessons[1], taught={whisk: "introduced", lock: "introduced"})
    Attendance.objects.create(record=there, person=student, role="F")
    assert [(rung.figure.name, rung.missed) for rung in read(as_student, course).taught] == [
        ("box", "you weren’t there"),
        ("whisk", ""),
        ("lock", ""),
    ]


def test_all_a_student_missed_stands_in_one_list(as_student, student, level, course, lessons):
    """What was begun counts; what they saw on another evening does not."""
    box, whisk, lock = (FigureFactory(level=level, name=name) for name in ("box", "whisk", "lock"))
    RecordFactory(lesson=lessons[0], taught={box: "introduced", whisk: "finish_later"})
    RecordFactory(lesson=lessons[1], taught={lock: "finish_later"})
    there = RecordFactory(lesson=lessons[2], taught={whisk: "introduced"})
    Attendance.objects.create(record=there, person=student, role="F")
    missed = read(as_student, course).missed
    assert [(rung.figure.name, rung.begun, rung.missed) for rung in missed] == [
        ("lock", True, "you weren’t there"),
        ("box", False, "you weren’t there"),
    ]
    assert 'id="missed"' in as_student.get(address(course)).content.decode()


def test_what_was_danced_again_since_is_missed_no_more_and_says_when(
    as_student, student, level, course, lessons
):
    box = FigureFactory(level=level, name="box")
    RecordFactory(lesson=lessons[0], taught={box: "introduced"})
    there = RecordFactory(lesson=lessons[1], taught={box: "reviewed"})
    said = "you danced it again on 13 January"
    assert said not in as_student.get(address(course)).content.decode()
    Attendance.objects.create(record=there, person=student, role="F")
    assert said in as_student.get(address(course)).content.decode()
    (rung,) = read(as_student, course).taught
    assert (rung.missed, rung.danced, rung.lesson) == ("", lessons[1].date, lessons[0])
    assert read(as_student, course).missed == ()


def test_who_saw_the_beginning_alone_has_missed_the_end(as_student, student, level, course, lessons):
    turn = FigureFactory(level=level, name="natural turn")
    begun = RecordFactory(lesson=lessons[0], taught={turn: "finish_later"})
    Attendance.objects.create(record=begun, person=student, role="F")
    assert read(as_student, course).missed == ()
    ended = RecordFactory(lesson=lessons[1], taught={turn: "introduced"})
    (rung,) = read(as_student, course).missed
    assert (rung.figure, rung.lesson, rung.missed) == (turn, lessons[1], "you weren’t there")
    Attendance.objects.create(record=ended, person=student, role="F")
    assert read(as_student, course).missed == ()


def test_what_was_new_twice_is_missed_by_nobody_who_saw_it_once(as_student, student, level, course, lessons):
    box = FigureFactory(level=level, name="box")
    RecordFactory(lesson=lessons[0], taught={box: "introduced"})
    there = RecordFactory(lesson=lessons[1], taught={box: "introduced"})
    Attendance.objects.create(record=there, person=student, role="F")
    level_read = read(as_student, course)
    assert level_read.missed == ()
    assert [rung.missed for rung in level_read.taught] == [""]


def test_what_was_only_danced_again_before_it_was_missed_is_missed_all_the_same(
    as_student, student, level, course, lessons
):
    box = FigureFactory(level=level, name="box")
    there = RecordFactory(lesson=lessons[0], taught={box: "reviewed"})
    Attendance.objects.create(record=there, person=student, role="F")
    RecordFactory(lesson=lessons[1], taught={box: "introduced"})
    assert [rung.figure for rung in read(as_student, course).missed] == [box]


def test_what_was_learnt_in_a_private_lesson_is_missed_no_more(as_student, student, level, course, lessons):
    box = FigureFactory(level=level, name="box")
    RecordFactory(lesson=lessons[0], taught={box: "introduced"})
    assert [rung.figure for rung in read(as_student, course).missed] == [box]
    PrivateLessonFactory(person=student).worked_on.create(figure=box, outcome="introduced")
    assert read(as_student, course).missed == ()
    assert "private lesson" in as_student.get(address(course)).content.decode()


def test_who_missed_nothing_reads_no_such_list(as_student, student, level, course, lessons):
    there = RecordFactory(lesson=lessons[0], taught={FigureFactory(level=level): "introduced"})
    Attendance.objects.create(record=there, person=student, role="F")
    assert 'id="missed"' not in as_student.get(address(course)).content.decode()


def test_how_far_we_can_dance_is_said_without_where_on_the_slot(as_student, level, course, lessons):
    whisk = FigureFactory(level=level, name="whisk")
    passage = PassageFactory(figure=whisk, label="from end 0")
    course.routine = RoutineFactory(level=level, dances=[passage, PassageFactory()])
    course.save()
    RecordFactory(lesson=lessons[0], taught={whisk: "introduced"})
    text = as_student.get(address(course)).content.decode()
    assert "We can dance as far as whisk: 1 of 2." in text
    line = text[text.index('class="reach-line"') : text.index("</ol>", text.index('class="reach-line"'))]
    assert "end 0" not in line


def test_the_last_lesson_of_before_one_joined_is_no_absence(as_student, enrolled, level, course, lessons):
    RecordFactory(lesson=lessons[0], taught={FigureFactory(level=level): "introduced"})
    enrolled.joined = TODAY
    enrolled.save()
    assert read(as_student, course).last.missed == "before you joined"
    page, home = as_student.get(address(course)), as_student.get(reverse("lessons:home"))
    for text in (page.content.decode(), home.content.decode()):
        assert "before you joined" in text
        assert "you weren’t there" not in text


def test_what_came_before_one_joined_is_marked_so(as_student, enrolled, level, course, lessons):
    enrolled.joined = lessons[1].date
    enrolled.save()
    RecordFactory(lesson=lessons[0], taught={FigureFactory(level=level): "introduced"})
    assert read(as_student, course).taught[0].missed == "before you joined"


def test_the_levels_below_are_folded_and_those_above_are_not_there(as_student, level, course, lessons):
    FigureFactory(level=LevelFactory(dance=level.dance, rank=1, name="Beginners"), name="box step")
    FigureFactory(level=LevelFactory(dance=level.dance, rank=3, name="Intermediate"), name="telemark")
    ladder = read(as_student, course)
    assert [(name, [figure.name for figure in figures]) for name, figures in ladder.below] == [
        ("Beginners", ["box step"])
    ]
    text = as_student.get(address(course)).content.decode()
    assert "box step" in text
    assert "telemark" not in text


def test_what_the_group_brought_along_is_neither_taught_nor_to_come(as_student, level, course, lessons):
    brought = FigureFactory(level=level, name="hesitation")
    course.taught_before.create(figure=brought)
    ladder = read(as_student, course)
    assert ladder.known == (brought,)
    assert ladder.beyond == ()


def test_the_next_lesson_and_those_that_fall_out_are_said(as_student, course, lessons):
    lessons[2].cancelled_at = dt.datetime(2026, 1, 13, 12, tzinfo=dt.UTC)
    lessons[2].cancelled_because = "hall hired out"
    lessons[2].save()
    text = as_student.get(address(course)).content.decode()
    assert "Tuesday 27 January, 19:30 to 20:30" in text
    assert "on Tuesday 20 January: hall hired out" in text


def test_the_routine_is_shown_as_far_as_it_was_recorded(as_student, level, course, lessons):
    whisk, lock = FigureFactory(level=level, name="whisk"), FigureFactory(level=level, name="lock")
    course.routine = RoutineFactory(
        level=level, dances=[PassageFactory(figure=whisk), PassageFactory(figure=lock)]
    )
    course.save()
    RecordFactory(lesson=lessons[0], taught={whisk: "introduced"})
    assert "We can dance as far as whisk: 1 of 2." in as_student.get(address(course)).content.decode()


def test_who_is_in_one_course_goes_straight_to_it(as_student, course):
    assert as_student.get(reverse("lessons:my-level")).url == address(course)


def test_who_is_in_several_chooses(as_student, student, course):
    other = EnrolmentFactory(person=student, course=CourseFactory(name="Tango", term=course.term)).course
    text = as_student.get(reverse("lessons:my-level")).content.decode()
    assert address(course) in text
    assert address(other) in text


def test_courses_of_past_terms_step_back_behind_those_that_run(as_student, student, course):
    past = TermFactory(first_day=dt.date(2025, 9, 1), last_day=dt.date(2025, 12, 1))
    EnrolmentFactory(person=student, course=CourseFactory(term=past))
    assert as_student.get(reverse("lessons:my-level")).url == address(course)


def test_who_is_in_none_is_told_whom_to_ask(client, student):
    client.force_login(student)
    assert "Ask at the desk" in client.get(reverse("lessons:my-level")).content.decode()


def test_another_course_is_not_there(as_student):
    assert as_student.get(address(CourseFactory())).status_code == 404


def test_the_waiting_list_reads_nothing(client, course):
    waiting = EnrolmentFactory(course=course, waiting=True).person
    client.force_login(waiting)
    assert client.get(address(course)).status_code == 404


def test_somebody_without_a_role_finds_nothing(client, outsider, course):
    client.force_login(outsider)
    assert client.get(reverse("lessons:my-level")).status_code == 404


def test_an_instructor_who_learns_reads_their_own_level(client, course):
    learns = EnrolmentFactory(course=course, person=PersonFactory(roles=["instructor"])).person
    client.force_login(learns)
    assert client.get(address(course)).status_code == 200


def test_the_page_is_only_read(as_student, course):
    assert as_student.post(address(course)).status_code == 403


@pytest.mark.parametrize("size", [2, 9])
def test_the_ladder_costs_the_same_whatever_its_length(
    as_student, level, course, plan, size, django_assert_num_queries
):
    lessons = weekly_lessons(course, 2 * size)
    below = LevelFactory(dance=level.dance, rank=1)
    figures = [FigureFactory(level=level) for _ in range(2 * size)]
    for figure, lesson in zip(figures, lessons, strict=True):
        PlanFigureFactory(plan=plan, figure=figure, new_in=lesson)
        FigureFactory(level=below)
    for figure, lesson in zip(figures[:2], lessons[:2], strict=True):
        RecordFactory(lesson=lesson, taught={figure: "introduced"})
    course.routine = RoutineFactory(level=level, dances=[PassageFactory(figure=figure) for figure in figures])
    course.save()
    with django_assert_num_queries(31):
        as_student.get(address(course))


def test_a_page_that_is_not_there_leads_to_ones_level(as_student):
    assert reverse("lessons:my-level") in as_student.get("/lessons/999999/").content.decode()
