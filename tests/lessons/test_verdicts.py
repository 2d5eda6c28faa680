"""What is wrong with a plan is found once, and found anew whenever anything it was found in has changed."""

import datetime as dt

import pytest
from django.db import connection
from django.db.models import F
from django.test.utils import CaptureQueriesContext

from curriculum.models import Figure
from lessons.courses.verdicts import verdicts
from lessons.models import Away, CourseInstructor, PlanBar, PlanStatus, TaughtBefore, TermPlan
from school.models import Person
from tests.factories import CourseFactory, MeetingFactory, RecordFactory, TermFactory, weekly_lessons
from tests.lessons.planned import planned

pytestmark = pytest.mark.usefixtures("anew")
PUBLISHED = PlanStatus.PUBLISHED


@pytest.fixture
def made(instructor):
    return planned(status=PUBLISHED, taught_by=[instructor], key="WB1")


def now(made):
    plan = TermPlan.objects.select_related("course").get(pk=made.plan.pk)
    return verdicts([plan])[plan.pk]


def asked(plans):
    with CaptureQueriesContext(connection) as seen:
        verdicts(plans)
    return len(seen)


def test_the_second_time_nothing_is_read_but_what_tells_that_nothing_has_changed(made):
    plans = list(TermPlan.objects.select_related("course"))
    assert asked(plans) > 2 * asked(plans)


def test_what_is_written_elsewhere_or_says_the_same_leaves_it_known(made, student):
    plans = list(TermPlan.objects.select_related("course"))
    verdicts(plans)
    looking = asked(plans)
    Person.objects.filter(pk=student.pk).update(charts_as="leader")
    Figure.objects.update(notes=F("notes"))
    # One for the table of figures, one for whether anybody wrote meanwhile.
    assert asked(plans) == looking + 2
    assert asked(plans) == looking


def test_looking_costs_the_same_for_few_and_many(made):
    few = list(TermPlan.objects.select_related("course"))
    verdicts(few)
    for number in range(4):
        planned(status=PUBLISHED, key=f"C{number}", term=made.course.term)
    many = list(TermPlan.objects.select_related("course"))
    verdicts(many)
    assert asked(many) == asked(few)


def a_record_is_taken_back(made):
    made.lessons[0].record.figures.all().delete()


def a_lesson_is_cancelled(made):
    made.lessons[5].cancelled_at = dt.datetime(2026, 2, 4, tzinfo=dt.UTC)
    made.lessons[5].save()


def a_lesson_is_barred(made):
    PlanBar.objects.create(plan_figure=made.row("turn"), lesson=made.lessons[5])


def a_mark_is_moved(made):
    made.row("whisk").introductions.update(lesson=made.lessons[5])


def a_figure_takes_longer(made):
    row = made.row("turn")
    row.figure.minutes_to_introduce = 90
    row.figure.save()


def a_figure_needs_another(made):
    turn, whisk = made.row("turn").figure, made.row("whisk").figure
    turn.prerequisites.all().delete()
    turn.prerequisites.create(needs=whisk)


def its_people_are_away(made):
    person = CourseInstructor.objects.get(course=made.course).person
    Away.objects.create(person=person, first_day=dt.date(2026, 2, 10), last_day=dt.date(2026, 2, 10))


def the_shape_leaves_no_room(made):
    made.course.shape.segments.exclude(kind__in=["new", "review"]).update(least=60, ideal=60, most=60)


@pytest.mark.parametrize(
    "changed",
    [
        a_record_is_taken_back, a_lesson_is_cancelled, a_lesson_is_barred, a_mark_is_moved,
        a_figure_takes_longer, a_figure_needs_another, its_people_are_away, the_shape_leaves_no_room,
    ],
)  # fmt: skip
def test_whatever_changes_it_is_found_anew(made, anew, changed):
    before = now(made)
    assert before.faults == ()
    changed(made)
    after = now(made)
    assert after.faults
    assert after == anew(lambda: now(made))


def test_what_the_course_before_was_taught_counts(made, anew):
    before = CourseFactory(
        level=made.course.levels.get(),
        term=TermFactory(first_day=dt.date(2025, 9, 1), last_day=dt.date(2025, 12, 1)),
    )
    MeetingFactory(course=before)
    (lesson,) = weekly_lessons(before, 1, first=dt.date(2025, 9, 2))
    made.course.continues = before
    made.course.save()
    made.row("whisk").introductions.update(lesson=made.lessons[5])
    assert [fault.kind for fault in now(made).faults] != []
    RecordFactory(lesson=lesson, taught={made.row("turn").figure: "introduced"})
    assert now(made) == anew(lambda: now(made))
    TaughtBefore.objects.create(course=before, figure=made.row("whisk").figure)
    assert now(made) == anew(lambda: now(made))


def test_another_day_asks_anew(made, anew, settings):
    now(made)
    settings.TODAY = "2026-03-25"
    assert now(made) == anew(lambda: now(made))
    assert asked(list(TermPlan.objects.select_related("course"))) < 25
