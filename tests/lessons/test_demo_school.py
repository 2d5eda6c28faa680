"""The demo school as loaded: its people, its term on any day, sound plans, and the story so far."""

import datetime as dt
from dataclasses import replace
from itertools import pairwise

import pytest
from django.apps import apps
from django.contrib.auth import authenticate
from django.db import IntegrityError

from curriculum.models import Figure
from lessons.courses.knowledge import danceable, known_figures, taught_in
from lessons.demo.load import demo_is_loaded, load_demo_school
from lessons.models import (
    Attendance,
    Course,
    Enrolment,
    LessonRecord,
    LessonSession,
    Outcome,
    PlanReview,
    PlanStatus,
    RecordedFigure,
    TermPlan,
)
from lessons.planners.term import check_plan, plan_term
from lessons.planners.term_values import Review
from lessons.problems import course_problem, findings
from lessons.students.catch_up_page import visitors_of, what_i_missed
from lessons.students.readiness import course_readiness
from school.models import Closure, Person, Role, Room, School, Term

WEDNESDAY = dt.date(2026, 3, 4)
WEEK = [WEDNESDAY + dt.timedelta(days=days) for days in range(7)]
ODD_DAYS = [dt.date(2024, 2, 29), dt.date(2025, 12, 31), dt.date(2026, 10, 25)]
SOUND = ["CB", "SB", "SI", "WB1", "WI"]


@pytest.fixture
def load(db, settings):
    """Loads the demo on a day."""

    def load_on(today):
        settings.TODAY = today.isoformat()
        load_demo_school(today=today)

    return load_on


@pytest.fixture
def demo(load):
    load(WEDNESDAY)


def course(key):
    return Course.objects.get(key=key)


def lesson(key, number):
    return course(key).lessons.in_order()[number - 1]


def outcomes(key, number):
    rows = RecordedFigure.objects.filter(record__lesson=lesson(key, number))
    return {row.figure.name: row.outcome for row in rows.select_related("figure")}


def went(key, number, figure):
    return RecordedFigure.objects.get(record__lesson=lesson(key, number), figure__name=figure).went


def published(key):
    return TermPlan.objects.get(course__key=key, status=PlanStatus.PUBLISHED)


def test_an_empty_database_is_not_the_demo_and_a_loaded_one_is(db):
    assert not demo_is_loaded()
    load_demo_school(today=WEDNESDAY)
    assert demo_is_loaded()


def test_loading_into_a_school_that_is_there_writes_nothing(school):
    with pytest.raises(IntegrityError):
        load_demo_school(today=WEDNESDAY)
    assert School.current().name == school.name
    assert not demo_is_loaded()
    assert not Room.objects.exists()


def test_loading_takes_few_queries(db, django_assert_max_num_queries):
    with django_assert_max_num_queries(107):
        load_demo_school(today=WEDNESDAY)


def test_the_school_has_its_people_rooms_and_courses(demo):
    this_term = Term.objects.on(WEDNESDAY).get()
    assert list(this_term.courses.values_list("key", flat=True)) == ["CB", "SB", "SI", "WB1", "WB2", "WI"]
    assert {parallel.key for parallel in course("WB1").group.courses.all()} == {"WB1", "WB2"}
    assert Room.objects.count() == 2
    assert Person.objects.with_role(Role.INSTRUCTOR).count() == 4
    assert Person.objects.filter(enrolments__course__term=this_term).distinct().count() == 22
    assert all(other.lessons.count() == 11 for other in this_term.courses.all())


@pytest.mark.parametrize(
    ("username", "name"),
    [("director", "Ottoline Prewett"), ("instructor", "Jory Tredle"), ("student", "Thea Winnow")],
)
def test_three_people_can_sign_in(username, name, demo, rf):
    person = authenticate(rf.post("/sign-in/"), username=username, password="freefoot-demo")
    assert person.name == name
    assert username in person.roles


def test_nobody_else_can_sign_in(demo):
    can = {person.username for person in Person.objects.all() if person.has_usable_password()}
    assert can == {"director", "instructor", "student"}


def test_every_address_is_invented(demo):
    assert all(person.email.endswith("@example.org") for person in Person.objects.all())


def test_the_minor_goes_by_first_name_and_the_guardians_address(demo):
    zeb = Person.objects.get(is_minor=True)
    assert (zeb.name, zeb.guardian_name) == ("Zeb", "Zeb's guardian")
    assert "guardian" in zeb.email


def test_no_row_says_more_than_its_column_holds(demo):
    for app in ("school", "lessons"):
        for model in apps.get_app_config(app).get_models():
            links = [field.name for field in model._meta.fields if field.is_relation]
            for row in model.objects.all():
                row.clean_fields(exclude=links)


@pytest.mark.parametrize("today", [*WEEK, *ODD_DAYS], ids=lambda day: f"{day:%a %d %b %Y}")
def test_whatever_the_day_there_is_a_lesson_tonight(today, load):
    load(today)
    assert Term.objects.on(today).get().first_day == today - dt.timedelta(days=30)
    tonight = LessonSession.objects.filter(date=today)
    assert {(row.course.key, f"{row.start:%H:%M}") for row in tonight} == {("CB", "19:00"), ("SB", "20:10")}
    jory, thea = Person.objects.get(username="instructor"), Person.objects.get(username="student")
    assert tonight.taught_by(jory).count() == 1
    assert tonight.filter(course__in=Course.objects.for_user(thea)).count() == 2
    assert LessonRecord.objects.count() == 25
    assert not LessonRecord.objects.filter(lesson__date__gte=today).exists()
    assert all(
        row.lessons.filter(date__gt=today).count() >= 6 for row in Term.objects.on(today).get().courses.all()
    )
    for row in LessonSession.objects.prefetch_related("course__meetings"):
        assert row.date.weekday() in {meeting.weekday for meeting in row.course.meetings.all()}


def test_the_sixth_week_is_closed(demo):
    closure = Closure.objects.get()
    assert (closure.first_day, closure.last_day) == (dt.date(2026, 3, 9), dt.date(2026, 3, 15))
    assert not LessonSession.objects.filter(date__range=(closure.first_day, closure.last_day)).exists()


def test_rooms_suit_the_dances_and_no_two_lessons_share_one(demo):
    lessons = LessonSession.objects.select_related("room", "course__dance").order_by("room", "date", "start")
    for row in lessons:
        assert row.room.travelling_dances or row.course.dance.floor_use != "travels"
        assert row.room.music_off is None or row.end <= row.room.music_off
    for first, second in pairwise(lessons):
        if (first.room, first.date) == (second.room, second.date):
            assert first.end <= second.start


def test_the_improvers_know_what_they_were_taught_last_term(demo):
    improvers = course("WI")
    assert improvers.continues.key == "WB"
    assert improvers.continues.term.last_day < improvers.term.first_day
    level_one = set(Figure.objects.filter(dance__name="waltz", level__rank=1).values_list("pk", flat=True))
    assert known_figures(improvers.continues) == level_one
    assert known_figures(improvers) == level_one


@pytest.mark.parametrize("key", [*SOUND, "WB2"])
def test_every_plan_was_sound_when_it_was_published(key, demo):
    problem = course_problem(published(key))
    before_the_term = replace(
        problem.problem,
        lessons=tuple(replace(slot, taught=None, reviewed=frozenset()) for slot in problem.problem.lessons),
        # Nobody knew yet how a figure would go.
        figures=tuple(replace(figure, review_after=None) for figure in problem.problem.figures),
        unfinished={},
        previous=None,
    )
    place = {row.pk: index for index, row in enumerate(problem.lessons)}
    rows = problem.plan_figures.items()
    introductions = {name: place[row.introductions.get().lesson_id] for name, row in rows}
    reviews = [
        Review(name, place[r.lesson_id], place[r.due_id]) for name, row in rows for r in row.reviews.all()
    ]
    assert check_plan(before_the_term, introductions, reviews) == ()
    assert introductions.keys() == set(
        Figure.objects.filter(level__courses__key=key).values_list("name", flat=True)
    )


@pytest.mark.parametrize("key", SOUND)
def test_plans_are_still_sound_today(key, demo):
    assert findings(published(key)) == ()


def test_the_second_waltz_group_is_one_lesson_behind_because_a_cover_only_reviewed(demo):
    second = lesson("WB2", 2)
    assert [(row.person.name, row.covers) for row in second.lessoninstructor_set.all()] == [
        ("Jory Tredle", True)
    ]
    assert outcomes("WB2", 2) == {
        "box step": Outcome.REVIEWED,
        "left foot closed change": Outcome.NOT_REACHED,
    }
    assert len(taught_in(course("WB1"))) == 5
    assert len(taught_in(course("WB2"))) == 3
    assert "natural turn must be taught this term and is left out." in {
        finding.sentence for finding in findings(published("WB2"))
    }


def test_the_second_waltz_group_can_still_catch_up(demo):
    plan = plan_term(course_problem(published("WB2")).problem, seconds=10)
    assert plan.status == "optimal"
    assert plan.left_out == ()


def test_the_natural_turn_was_left_unfinished_and_finished_a_week_later(demo):
    assert outcomes("WB1", 4)["natural turn"] == Outcome.FINISH_LATER
    assert outcomes("WB1", 5)["natural turn"] == Outcome.INTRODUCED
    natural_turn = Figure.objects.get(name="natural turn")
    assert (
        taught_in(course("WB1"))[natural_turn.pk] == lesson("WB1", 5).date == WEDNESDAY - dt.timedelta(days=1)
    )
    report = danceable(course("WB1"), on=WEDNESDAY)
    assert report.danceable == 2


def test_gwenda_joined_in_the_second_week_and_missed_the_box_step(demo):
    gwenda = Enrolment.objects.get(person__name="Gwenda Sallow")
    assert gwenda.joined == gwenda.course.term.first_day + dt.timedelta(weeks=1)
    assert gwenda.joined <= gwenda.course.newcomers_until
    assert outcomes("WB1", 1)["box step"] == Outcome.INTRODUCED
    were_there = Attendance.objects.filter(person=gwenda.person).values_list(
        "record__lesson__date", flat=True
    )
    assert lesson("WB1", 1).date not in set(were_there)
    assert were_there.count() == 4


def test_two_guests_dropped_in_to_the_swing_in_the_third_week(demo):
    assert course("SB").drop_ins_welcome
    assert LessonRecord.objects.get(unnamed_guests__gt=0).lesson == lesson("SB", 3)
    assert lesson("SB", 3).record.unnamed_guests == 2


def test_one_leader_and_three_followers_learn_the_cha_cha_and_a_helper_evens_it_up(demo):
    roles = course("CB").enrolments.values_list("role", flat=True)
    assert sorted(roles) == ["F", "F", "F", "L"]
    helped = Attendance.objects.filter(person__name="Piet Lammas", record__lesson__course__key="CB")
    assert {row.role for row in helped} == {"L"}
    assert helped.count() == 3


def test_only_last_weeks_swing_lesson_has_no_record(demo):
    been = LessonSession.objects.filter(date__lt=WEDNESDAY)
    assert list(been.without_record()) == [lesson("SB", 4)]


def test_the_free_spin_went_shakily_and_comes_again_at_once(demo):
    assert went("SI", 4, "free spin") == "shaky"
    assert PlanReview.objects.filter(lesson=lesson("SI", 5), plan_figure__figure__name="free spin").exists()


def test_in_the_ninth_week_an_evening_is_about_to_be_closed(demo):
    evenings = LessonSession.objects.exclude(note="")
    ninth_week = course("WB2").term.first_day + dt.timedelta(weeks=8)
    assert {row.date for row in evenings} == {ninth_week + dt.timedelta(days=3)}
    assert {row.course.key for row in evenings} == {"WB2", "SI"}


def test_what_was_recorded_was_new_only_once_and_came_after_what_it_needs(demo):
    for key in [*SOUND, "WB2"]:
        taught = taught_in(course(key))
        rows = RecordedFigure.objects.filter(
            record__lesson__course__key=key, outcome=Outcome.INTRODUCED
        ).select_related("figure")
        assert rows.count() == len(taught)
        for row in rows:
            for needed in row.figure.prerequisites.all():
                if needed.needs_id not in known_figures(course(key)):
                    assert taught[needed.needs_id] <= taught[row.figure_id]
                    assert needed.same_evening or taught[needed.needs_id] < taught[row.figure_id]


def test_everybody_there_was_enrolled_by_then_or_is_a_helper(demo):
    helpers = {"Piet Lammas", "Nerys Gorwell"}
    for row in Attendance.objects.select_related("person", "record__lesson"):
        day = row.record.lesson.date
        enrolled = Enrolment.objects.filter(
            person=row.person, course=row.record.lesson.course, joined__lte=day
        ).exists()
        assert enrolled or row.person.name in helpers


def test_the_demos_student_marked_noted_missed_two_lessons_and_has_something_signed_off(demo):
    thea = Person.objects.get(username="student")
    assert thea.own_marks.count() >= 4
    assert thea.own_notes.count() == 2
    assert thea.sign_offs.filter(habit__isnull=False).exists()
    missed = what_i_missed(course("WB1"), thea)
    assert [line.lesson for line in missed.lessons] == [lesson("WB1", 5), lesson("WB1", 3)]
    # What was new in the third was danced again in the fourth, with her there.
    assert [line.lesson for line in missed.lessons if line.open_figures] == [lesson("WB1", 5)]
    assert any(line.offers for line in missed.lessons)


def test_somebody_waits_for_an_answer_whether_they_may_come_to_catch_up(demo):
    (asked,) = visitors_of(lesson("WB2", 5))
    assert (asked.person.name, asked.state, asked.missed) == ("Gwenda Sallow", "asked", lesson("WB1", 1))


def test_one_of_the_improvers_is_ready_for_the_next_level(demo):
    ready = [one.person.name for one in course_readiness(course("WI")) if one.is_ready]
    assert ready == ["Osric Bellweather"]
