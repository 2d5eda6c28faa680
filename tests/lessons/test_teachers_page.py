"""The page that says who is away and who does not teach what; plans that it breaks are planned again."""

import pytest
from django.urls import reverse

from lessons.models import Away, PlanRun, TeachesNot
from tests.factories import (
    CourseFactory,
    FigureFactory,
    HelperCallFactory,
    HelperFactory,
    LevelFactory,
    weekly_lessons,
)
from tests.lessons.planned import as_person, planned

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("story_day")]


@pytest.fixture
def made(instructor):
    """The sixth lesson, 10 February, is new for the turn; only one instructor gives the course."""
    made = planned(status="published", name="Waltz")
    made.course.courseinstructor_set.create(person=instructor)
    return made


def page(client):
    return client.get(reverse("lessons:teachers")).content.decode()


def away(client, person, first, last=""):
    data = {"away-person": person.pk, "away-first_day": first, "away-last_day": last or first}
    return client.post(reverse("lessons:away-new"), data, follow=True).content.decode()


def teaches_not(client, person, what):
    data = {"not-person": person.pk, "not-what": what}
    return client.post(reverse("lessons:teaches-not-new"), data, follow=True).content.decode()


class TestAway:
    def test_it_is_said_and_the_plan_it_breaks_is_planned_again(self, as_director, made, instructor):
        assert "Tobin Marl is away then." in away(as_director, instructor, "2026-02-09", "2026-02-11")
        assert "9 Feb" in page(as_director)
        run = PlanRun.objects.get()
        assert (run.plan, run.kind) == (made.plan, "again")
        assert run.occasion == "Tobin Marl is away: Monday 9 February to Wednesday 11 February."

    def test_away_on_days_without_a_lesson_of_theirs_moves_nothing(self, as_director, made, instructor):
        away(as_director, instructor, "2026-02-12", "2026-02-14")
        assert not PlanRun.objects.exists()

    def test_of_a_course_that_does_not_meet_on_those_days_nothing_is_asked(
        self, as_director, made, instructor
    ):
        TeachesNot.objects.create(person=instructor, dance=made.course.dance)
        away(as_director, instructor, "2026-08-01", "2027-08-01")
        assert not PlanRun.objects.exists()
        away(as_director, instructor, "2026-02-10", "2026-06-30")
        assert PlanRun.objects.get().plan == made.plan

    @pytest.mark.parametrize("last", ["9999-12-31", "2101-01-01"])
    def test_nobody_is_away_beyond_our_times(self, as_director, instructor, last):
        assert "Write a day of the years 2000 to 2100." in away(as_director, instructor, "2026-02-10", last)
        assert not Away.objects.exists()

    def test_whom_it_leaves_without_anybody_stands_there_with_the_way_to_who_is_free(
        self, as_director, made, instructor
    ):
        assert "Nobody takes these yet" not in page(as_director)
        away(as_director, instructor, "2026-02-10")
        lesson = made.course.lessons.get(date="2026-02-10")
        text = page(as_director)
        assert "Nobody takes these yet" in text
        assert reverse("lessons:lesson-give", args=[lesson.pk]) in text

    def test_they_are_there_after_all(self, as_director, made, instructor):
        away(as_director, instructor, "2026-02-10")
        row = Away.objects.get()
        for _ in range(2):
            as_director.post(reverse("lessons:away-remove", args=[row.pk]))
        assert not Away.objects.exists()
        assert "Nobody." in page(as_director)

    @pytest.mark.parametrize(
        ("first", "last", "said"),
        [
            ("2026-02-10", "2026-02-09", "This lies before the first day."),
            ("", "2026-02-09", "Give a date."),
            ("2026-02-31", "2026-03-01", "This is not a date."),
        ],
    )
    def test_a_mistake_stands_at_its_field_and_nothing_typed_is_lost(
        self, as_director, instructor, first, last, said
    ):
        answer = away(as_director, instructor, first, last)
        assert said in answer
        assert f'value="{last}"' in answer
        assert not Away.objects.exists()

    def test_the_same_days_twice_are_refused(self, as_director, instructor):
        away(as_director, instructor, "2026-02-10", "2026-02-12")
        assert "away then already" in away(as_director, instructor, "2026-02-12", "2026-02-14")
        assert Away.objects.count() == 1

    def test_what_is_over_is_not_listed(self, as_director, instructor):
        Away.objects.create(person=instructor, first_day="2026-01-01", last_day="2026-01-02")
        assert "Nobody." in page(as_director)


class TestTeachesNot:
    def test_a_figure_a_level_and_a_dance(self, as_director, made, instructor):
        turn = made.row("turn").figure
        level = turn.level
        for what in (f"figure:{turn.pk}", f"level:{level.pk}", f"dance:{level.dance_id}"):
            assert "Nobody gives that to Tobin Marl any more." in teaches_not(as_director, instructor, what)
        assert [(row.figure, row.level) for row in TeachesNot.objects.order_by("pk")] == [
            (turn, None),
            (None, level),
            (None, None),
        ]
        assert PlanRun.objects.count() == 1
        assert "all of" in page(as_director)

    def test_said_twice_it_is_refused_at_the_field(self, as_director, made, instructor):
        what = f"dance:{made.course.dance_id}"
        teaches_not(as_director, instructor, what)
        assert "is said already." in teaches_not(as_director, instructor, what)
        assert TeachesNot.objects.count() == 1

    def test_they_teach_it_after_all(self, as_director, made, instructor):
        teaches_not(as_director, instructor, f"dance:{made.course.dance_id}")
        row = TeachesNot.objects.get()
        for _ in range(2):
            as_director.post(reverse("lessons:teaches-not-remove", args=[row.pk]))
        assert "Everybody teaches everything." in page(as_director)

    @pytest.mark.parametrize("what", ["", "figure:0", "nonsense"])
    def test_what_is_not_among_the_choices_is_refused(self, as_director, made, instructor, what):
        answer = teaches_not(as_director, instructor, what)
        assert "Choose one." in answer or "This is not among the choices." in answer
        assert not TeachesNot.objects.exists()


def test_an_instructor_reads_it_and_writes_nothing(client, instructor):
    assert "Somebody is away" not in page(as_person(client, instructor))
    assert client.post(reverse("lessons:away-new")).status_code == 403


@pytest.mark.parametrize("size", [1, 6])
def test_the_page_costs_the_same_for_any_number(as_director, instructor, size, django_assert_num_queries):
    for number in range(size):
        Away.objects.create(person=instructor, first_day=f"2026-03-0{number + 1}", last_day="2026-03-09")
        course = CourseFactory(level=LevelFactory())
        FigureFactory(level=course.levels.get())
        TeachesNot.objects.create(person=instructor, dance=course.dance)
        helper = HelperFactory()
        helper.dances.add(course.dance)
        HelperCallFactory(person=helper.person, lesson=weekly_lessons(course, 12)[-1])
    with django_assert_num_queries(17):
        page(as_director)
