"""A figure's page says in which courses of this term it is taught, as far as the reader may know."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from lessons.models import PlanReview, RecordedFigure
from tests.factories import (
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    LevelFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    TermFactory,
    weekly_lessons,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def whisk(school, settings):
    settings.TODAY = "2026-01-21"
    return FigureFactory(level=LevelFactory(rank=1), name="whisk")


def course_of(figure, name, *, new_in=None, term=None):
    """A course of four weeks from 5 January; its published plan has the figure new in that lesson."""
    course = CourseFactory(level=figure.level, name=name, **({"term": term} if term else {}))
    lessons = weekly_lessons(course, 4)
    if new_in is not None:
        plan = PlanFactory(course=course, status="published")
        PlanFigureFactory(plan=plan, figure=figure, new_in=lessons[new_in])
    return course, lessons


def section(client, figure):
    notes = client.get(reverse("curriculum:figure", args=[figure.pk])).context["page"].notes
    (note,) = (note for note in notes if note.key == "taught")
    return " ".join(note.html.split())


def record(lesson, figure, outcome):
    RecordedFigure.objects.create(record=RecordFactory(lesson=lesson), figure=figure, outcome=outcome)


def test_taught_means_recorded_and_is_then_no_longer_planned(as_director, whisk):
    _, lessons = course_of(whisk, "Waltz 1", new_in=1)
    record(lessons[1], whisk, "introduced")
    text = section(as_director, whisk)
    assert lessons[1].date.strftime("%a %-d %b") in text
    assert "planned" not in text


def test_what_is_planned_may_change(as_director, whisk):
    _, lessons = course_of(whisk, "Waltz 1", new_in=3)
    said = lessons[3].date.strftime("%a %-d %b")
    assert f'{said}, <span class="soft">planned, may change</span>' in section(as_director, whisk)


def test_a_lesson_that_is_over_without_a_record_is_not_called_taught(as_director, whisk):
    _, lessons = course_of(whisk, "Waltz 1", new_in=0)
    assert f"planned for {lessons[0].date:%a %-d %b}, no record yet" in section(as_director, whisk)


def test_a_figure_begun_and_one_done_again(as_director, whisk):
    _, lessons = course_of(whisk, "Waltz 1")
    record(lessons[0], whisk, "finish_later")
    assert f"begun {lessons[0].date:%a %-d %b}" in section(as_director, whisk)
    record(lessons[1], whisk, "introduced")
    record(lessons[2], whisk, "reviewed")
    text = section(as_director, whisk)
    assert "begun" not in text
    assert f'<td data-label="Again">{lessons[2].date:%a %-d %b}</td>' in text


def test_cancelled_lessons_drafts_and_other_terms_do_not_count(as_director, whisk):
    _, lessons = course_of(whisk, "Cancelled", new_in=3)
    lessons[3].cancelled_at = timezone.now()
    lessons[3].save()
    course, lessons = course_of(whisk, "Only a draft")
    PlanFigureFactory(plan=PlanFactory(course=course), figure=whisk, new_in=lessons[3])
    past = TermFactory(first_day=dt.date(2025, 1, 6), last_day=dt.date(2025, 3, 30))
    _, lessons = course_of(whisk, "Last year", term=past)
    record(lessons[0], whisk, "introduced")
    assert section(as_director, whisk) == '<p class="soft">In no course.</p>'


def test_between_terms_nothing_is_said(as_director, whisk, settings):
    course_of(whisk, "Waltz 1", new_in=3)
    settings.TODAY = "2026-08-01"
    assert as_director.get(reverse("curriculum:figure", args=[whisk.pk])).context["page"].notes == ()


def test_a_student_reads_only_of_their_own_course(client, student, whisk):
    own, _ = course_of(whisk, "Own course", new_in=3)
    course_of(whisk, "Other course", new_in=3)
    EnrolmentFactory(course=own, person=student)
    client.force_login(student)
    text = section(client, whisk)
    assert "Own course" in text
    assert reverse("lessons:my-level-course", args=[own.pk]) in text
    assert "Other course" not in text


@pytest.mark.parametrize(
    ("new_in", "is_open", "said"),
    [(2, True, "27 Jan"), (3, True, "later this term"), (2, False, None), (3, False, None)],
)
def test_a_student_is_told_the_day_of_the_next_lesson_alone(client, student, whisk, new_in, is_open, said):
    """Today is the 21st: the third lesson was yesterday and the fourth is the next."""
    course, lessons = course_of(whisk, "Own course")
    weekly = [*lessons, *weekly_lessons(course, 2, first=lessons[3].date + dt.timedelta(weeks=1))]
    plan = PlanFactory(course=course, status="published")
    PlanFigureFactory(plan=plan, figure=whisk, new_in=weekly[new_in + 1])
    course.plan_open = is_open
    course.save()
    EnrolmentFactory(course=course, person=student)
    client.force_login(student)
    text = section(client, whisk)
    planned = {"27 Jan", "3 Feb", "later this term"}
    assert {words for words in planned if words in text} == ({said} if said else set())


@pytest.mark.parametrize("number", [1, 6])
def test_it_costs_the_same_for_any_number_of_courses(as_director, whisk, number, django_assert_num_queries):
    for place in range(number):
        course, lessons = course_of(whisk, f"Course {place}", new_in=2)
        again = course.plans.get().figures.get()
        PlanReview.objects.create(plan_figure=again, lesson=lessons[3], due=lessons[3])
        record(lessons[0], whisk, "finish_later")
    with django_assert_num_queries(16):
        as_director.get(reverse("curriculum:figure", args=[whisk.pk]))
