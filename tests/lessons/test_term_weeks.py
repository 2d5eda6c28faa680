"""A course's weeks on the term's page are drawn once, and anew whenever anything they show has changed."""

import datetime as dt

import pytest
from django.core.cache import caches
from django.db import connection
from django.db.models import F
from django.test.utils import CaptureQueriesContext

from curriculum.models import Figure
from lessons.board import term as page
from lessons.board.term import Sought, term_sheet
from lessons.models import Milestone, PlanStatus, TermPlan
from school.models import Closure, Person
from tests.factories import PlanFigureFactory
from tests.lessons.planned import planned

pytestmark = pytest.mark.usefixtures("anew")
PUBLISHED = PlanStatus.PUBLISHED


@pytest.fixture
def made(instructor):
    made = planned(status=PUBLISHED, taught_by=[instructor], key="WB1")
    # Two courses, one on a page: the term is long.
    planned(status=PUBLISHED, key="WB2", term=made.course.term)
    return made


def now(made):
    """The weeks of the course, week by week."""
    (line,) = term_sheet(made.course.term, Sought(words="WB1"), lines=1).lines
    return line.cells


def asked(made):
    with CaptureQueriesContext(connection) as seen:
        now(made)
    return len(seen)


def test_the_second_time_they_are_not_drawn(made):
    now(made)
    with CaptureQueriesContext(connection) as seen:
        again = now(made)
    assert not any('SELECT "lessons_planintroduction"."id"' in query["sql"] for query in seen)
    assert [column.key for cell in again for column in cell if column.key] == [
        lesson.pk for lesson in made.lessons
    ]


def test_what_is_written_elsewhere_or_says_the_same_leaves_them_known(made, student):
    now(made)
    looking = asked(made)
    Person.objects.filter(pk=student.pk).update(charts_as="leader")
    Figure.objects.update(notes=F("notes"))
    # One for the table of figures, one for whether anybody wrote meanwhile.
    assert asked(made) == looking + 2
    assert asked(made) == looking


def a_record_is_taken_back(made):
    made.lessons[4].record.delete()


def a_lesson_is_cancelled(made):
    made.lessons[5].cancelled_at = dt.datetime(2026, 2, 4, tzinfo=dt.UTC)
    made.lessons[5].save()


def a_lesson_is_moved(made):
    made.lessons[5].date += dt.timedelta(days=1)
    made.lessons[5].save()


def a_figure_takes_longer(made):
    figure = made.row("whisk").figure
    figure.minutes_to_introduce += 7
    figure.save()


def a_mark_is_moved(made):
    made.row("whisk").introductions.update(lesson=made.lessons[5])


def a_day_without_class_is_laid_down(made):
    day = made.course.term.last_day - dt.timedelta(days=6)
    Closure.objects.create(first_day=day, last_day=made.course.term.last_day, reason="Spring fair")


def the_term_lasts_longer(made):
    made.course.term.last_day += dt.timedelta(days=7)
    made.course.term.save()


def it_meets_on_another_day_too(made):
    """On which the hall was closed."""
    day = made.lessons[5].date + dt.timedelta(days=1)
    Closure.objects.create(first_day=day, last_day=day, reason="Floor sanded")
    now(made)
    meeting = made.course.meetings.get()
    meeting.pk, meeting.weekday = None, day.weekday()
    meeting.save()


def something_else_was_planned_then(made):
    """By the plan in force when the last lesson was given, which nobody has written up."""
    made.lessons[4].record.delete()
    TermPlan.objects.filter(pk=made.plan.pk).update(published_at=dt.datetime(2026, 2, 4, tzinfo=dt.UTC))
    then = TermPlan.objects.create(
        course=made.course,
        status=PlanStatus.RETIRED,
        published_at=dt.datetime(2025, 12, 1, tzinfo=dt.UTC),
    )
    before = now(made)
    PlanFigureFactory(plan=then, figure=made.row("whisk").figure, new_in=made.lessons[4])
    assert now(made) != before


@pytest.mark.parametrize(
    "changed",
    [
        a_record_is_taken_back, a_lesson_is_cancelled, a_lesson_is_moved, a_figure_takes_longer,
        a_mark_is_moved, a_day_without_class_is_laid_down, the_term_lasts_longer,
        it_meets_on_another_day_too, something_else_was_planned_then,
    ],
)  # fmt: skip
def test_whatever_changes_them_is_drawn_anew(made, anew, changed):
    before = now(made)
    changed(made)
    after = now(made)
    assert after != before
    assert after == anew(lambda: now(made))


def test_another_day_draws_anew(made, anew, settings):
    before = now(made)
    settings.TODAY = made.lessons[6].date.isoformat()
    assert now(made) == anew(lambda: now(made)) != before


def test_what_was_written_while_they_were_drawn_is_not_kept(made, monkeypatch):
    """The drawing read some of the old and some of the new."""

    def drawn(shown, draw=page._weeks_by_plan):
        weeks = draw(shown)
        Milestone.objects.create(course=made.course, name="Showing", day=made.lessons[7].date)
        return weeks

    with monkeypatch.context() as patch:
        patch.setattr(page, "_weeks_by_plan", drawn)
        now(made)
    assert not caches["verdicts"].get(f"weeks-{made.course.pk}")
