"""A routine's night: what a plan leaves undanceable on it is said before publishing, and on today's page."""

import datetime as dt

import pytest
from django.urls import reverse

from curriculum.history import keep
from curriculum.models import FigureVersion, RoutineVersion
from curriculum.routine_writing import change_row
from lessons.courses.routine_nights import undanceable_nights
from lessons.models import Milestone
from lessons.problems import course_problem
from tests.factories import HoldFactory, PassageFactory, RoutineFactory
from tests.lessons.planned import planned

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("story_day")]


@pytest.fixture
def made(school):
    """Box is taught; turn is new in lesson 6, whisk in lesson 7, of eleven. The routine dances all three."""
    made = planned()
    made.ways = made.dance("box", "turn", "whisk")
    return made


def said(made):
    problem = course_problem(made.plan)
    return [night.sentence for night in undanceable_nights([problem])[made.plan.pk]]


def take_out(made, name):
    made.row(name).introductions.all().delete()


def test_what_is_new_before_the_last_lesson_can_be_danced_in_it(made):
    assert said(made) == []


def test_a_figure_the_plan_puts_nowhere_is_named_with_the_lesson(made):
    take_out(made, "whisk")
    night = "the side cannot be danced in the last lesson (lesson 11, Tuesday 17 March)"
    assert said(made) == [f"{night}: whisk is new in no lesson."]


def test_a_milestone_is_the_routines_night(made):
    """On 15 February six lessons have been: whisk comes a week later."""
    Milestone.objects.create(
        course=made.course, name="the party", day=dt.date(2026, 2, 15), routine=made.course.routine
    )
    assert said(made) == [
        "the side cannot be danced on the day of the party (lesson 6, Tuesday 10 February): "
        "whisk is new only in lesson 7, Tuesday 17 February."
    ]


def test_a_figure_in_two_parts_is_known_after_its_second(made):
    row = made.row("whisk")
    row.introductions.all().delete()
    row.parts = 2
    row.save()
    for part, lesson in enumerate(made.lessons[9:11]):
        row.introductions.create(part=part, lesson=lesson)
    stone = Milestone.objects.create(
        course=made.course, name="the party", day=made.lessons[9].date, routine=made.course.routine
    )
    assert "whisk is new only in lesson 11" in said(made)[0]
    stone.day = made.lessons[10].date
    stone.save()
    assert said(made) == []


def test_a_broken_join_is_named_where_nothing_is_missing(made):
    closed, apart = (HoldFactory(dance=made.course.dance, name=name) for name in ("closed", "apart"))
    for name, way in made.ways.items():
        way.entry_hold = closed
        way.exit_hold = apart if name == "box" else closed
        way.save()
    assert "a join of it doesn’t connect, for box leaves you apart" in said(made)[0]


def test_the_page_before_publishing_warns_and_still_lets_it_be_published(as_director, made):
    take_out(made, "whisk")
    made.row("whisk").delete()
    page = as_director.get(reverse("lessons:plan-publish", args=[made.plan.pk])).content.decode()
    assert "With this plan a routine cannot be danced on its night:" in page
    assert "whisk is new in no lesson." in page
    as_director.post(reverse("lessons:plan-publish", args=[made.plan.pk]), {"version": made.plan.version})
    made.plan.refresh_from_db()
    assert made.plan.status == "published"


class TestToday:
    def needs(self, client):
        return [need.sentence for need in client.get(reverse("lessons:home")).context["director"].needs]

    def test_it_names_what_the_published_plan_leaves_undanceable(self, as_director, made):
        made.plan.status = "published"
        made.plan.save()
        take_out(made, "whisk")
        assert any("the side cannot be danced in the last lesson" in said for said in self.needs(as_director))

    def test_a_routine_that_broke_is_named_with_who_changed_the_figure(self, as_director, made, instructor):
        closed, apart = (HoldFactory(dance=made.course.dance, name=name) for name in ("closed", "apart"))
        for way in made.ways.values():
            way.entry_hold = way.exit_hold = closed
            way.save()
        assert not [said for said in self.needs(as_director) if said.startswith("the side:")]
        turn = made.row("turn").figure
        made.ways["turn"].exit_hold = apart
        made.ways["turn"].save()
        turn.version += 1
        turn.save()
        keep([turn.pk], by=instructor)
        FigureVersion.objects.update(at=dt.datetime(2026, 2, 3, 18, tzinfo=dt.UTC))
        (broke,) = [said for said in self.needs(as_director) if said.startswith("the side:")]
        assert "turn leaves you apart" in broke.casefold()
        assert broke.endswith("Tobin Marl changed turn on Tuesday 3 February.")

    def test_or_the_routine_itself(self, as_director, made, director):
        closed, apart = (HoldFactory(dance=made.course.dance, name=name) for name in ("closed", "apart"))
        for name, way in made.ways.items():
            way.entry_hold, way.exit_hold = closed, apart if name == "whisk" else closed
            way.save()
        change_row(routine=made.course.routine, version=1, by=director, change=lambda row: row[::-1])
        RoutineVersion.objects.update(at=dt.datetime(2026, 2, 4, 11, tzinfo=dt.UTC))
        (broke,) = [said for said in self.needs(as_director) if said.startswith("the side:")]
        assert broke.endswith("Hester Quayle changed the side on Wednesday 4 February.")

    def test_a_broken_routine_is_named_once(self, as_director, made):
        """Not as undanceable besides: the join is the cause."""
        made.plan.status = "published"
        made.plan.save()
        closed, apart = (HoldFactory(dance=made.course.dance, name=name) for name in ("closed", "apart"))
        for name, way in made.ways.items():
            way.entry_hold, way.exit_hold = closed, apart if name == "box" else closed
            way.save()
        assert sum("the side" in said for said in self.needs(as_director)) == 1


@pytest.mark.parametrize("size", [1, 4])
def test_it_costs_the_same_for_any_number_of_plans(school, size, django_assert_num_queries):
    problems = []
    for number in range(size):
        one = planned(key=f"K{number}")
        way = PassageFactory(figure=one.row("whisk").figure)
        one.course.routine = RoutineFactory(level=one.course.levels.get(), dances=[way])
        one.course.save()
        problems.append(course_problem(one.plan))
    with django_assert_num_queries(4):
        assert len(undanceable_nights(problems)) == size
