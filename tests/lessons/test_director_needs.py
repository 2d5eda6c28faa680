"""What needs a director: a term planned again that waits for a word, and what is booked twice."""

import datetime as dt

import pytest
from django.urls import reverse

from lessons.actions.changes import cancel_lesson
from lessons.actions.school_runs import plan_the_school
from lessons.models import PlanRun
from lessons.rules.offer_words import sums
from lessons.tasks import run_plan
from tests.factories import CourseFactory, LessonFactory, PrivateLessonFactory, RoomFactory, TermFactory
from tests.lessons.planned import planned

pytestmark = pytest.mark.usefixtures("story_day")

TUESDAY = dt.date(2026, 2, 10)


@pytest.fixture
def needs(as_director):
    """The sentences on today's page, each with where it leads."""

    def read():
        desk = as_director.get(reverse("lessons:home")).context["director"]
        return {need.sentence: need.link for need in desk.needs}

    return read


def with_words(needs, *words):
    return [sentence for sentence in needs() if all(word in sentence for word in words)]


class TestDraftsThatWait:
    def test_a_plan_taken_over_waits_until_its_draft_is_published(self, needs, director):
        made = planned(recorded=False)
        school_run = plan_the_school(term=made.course.term, by=director)
        assert not with_words(needs, "to be published")
        school_run.runs.update(answered="accepted")
        (said,) = with_words(needs, "1 draft waits to be published.")
        assert needs()[said] == reverse("lessons:school-run", args=[school_run.pk])
        made.course.plans.update(status="published")
        assert not with_words(needs, "to be published")


class TestAProposalThatWaits:
    @pytest.fixture
    def made(self):
        return planned(status="published", name="Waltz on Tuesday")

    @pytest.fixture
    def run(self, made, director):
        cancel_lesson(lesson=made.lessons[5], because="flood", by=director)
        run = PlanRun.objects.get()
        run_plan(run.pk, worker="here")
        return run

    def test_it_says_what_came_between_and_what_would_move(self, needs, run):
        (said,) = with_words(needs, "Waltz on Tuesday", "planned again")
        assert "cancelled: flood." in said
        assert "move" in said
        assert needs()[said] == reverse("lessons:plan-run", args=[run.pk])

    def test_what_is_wrong_with_the_plan_is_not_said_beside_it(self, needs, run):
        assert len(with_words(needs, "Waltz on Tuesday")) == 1

    def test_answered_it_waits_no_longer(self, needs, run):
        PlanRun.objects.update(answered="left")
        assert with_words(needs, "planned again") == []
        assert len(with_words(needs, "Waltz on Tuesday")) == 1


class TestDoubleBookings:
    @pytest.fixture
    def courses(self, instructor):
        """Two courses of the running term under one instructor, without lessons."""
        term = TermFactory()
        return [CourseFactory(term=term, name=name, taught_by=[instructor]) for name in ("Swing", "Waltz")]

    def lesson(self, course, room, *, days=0, at="19:30"):
        start = dt.time.fromisoformat(at)
        return LessonFactory(course=course, room=room, date=TUESDAY + dt.timedelta(days=days), start=start)

    def test_a_room_that_two_courses_have_at_one_time(self, needs, courses, instructor):
        room = RoomFactory(name="Long Room")
        first = self.lesson(courses[0], room)
        self.lesson(courses[1], room, at="20:00")
        courses[1].courseinstructor_set.all().delete()
        said = (
            "Long Room is booked twice at one time on Tuesday 10 February, 19:30 to 20:30: Swing and Waltz."
        )
        assert needs()[said] == reverse("lessons:lesson", args=[first.pk])

    def test_an_instructor_who_is_in_two_rooms(self, needs, courses):
        for course in courses:
            self.lesson(course, RoomFactory())
        assert with_words(needs, "Tobin Marl teaches twice at one time on Tuesday 10 February")

    def test_several_evenings_are_one_line(self, needs, courses):
        for days in (0, 7, 14):
            for course in courses:
                self.lesson(course, RoomFactory(), days=days)
        (said,) = with_words(needs, "teaches twice")
        assert "on 3 days, first on Tuesday 10 February" in said

    def test_a_private_lesson_books_its_instructor_too(self, needs, courses, instructor):
        self.lesson(courses[0], RoomFactory())
        PrivateLessonFactory(instructor=instructor, date=TUESDAY, start=dt.time(19, 45))
        assert with_words(needs, "Tobin Marl teaches twice", "Swing", "private")

    @pytest.mark.parametrize("days", [-7, 60])
    def test_what_has_been_and_what_is_far_ahead_is_not_said(self, needs, courses, days):
        for course in courses:
            self.lesson(course, RoomFactory(), days=days)
        assert with_words(needs, "twice") == []

    def test_one_after_the_other_is_no_double_booking(self, needs, courses):
        room = RoomFactory()
        self.lesson(courses[0], room)
        self.lesson(courses[1], room, at="20:30")
        assert with_words(needs, "twice") == []


@pytest.mark.parametrize(
    ("why", "introductions", "left_out", "said"),
    [
        ({"box": ""}, {"box": 3}, [], "1 figure moves"),
        ({"box": "", "turn": ""}, {"box": 3, "turn": 4}, [], "2 figures move"),
        ({"box": ""}, {}, ["box"], "box is left out"),
        ({"box": "", "turn": ""}, {"box": 3}, ["turn", "wing"], "1 figure moves, turn and wing are left out"),
        ({}, {}, [], "1 figure comes again in other lessons"),
    ],
)
def test_what_a_proposal_comes_to(why, introductions, left_out, said):
    proposal = {
        "why": why,
        "introductions": introductions,
        "left_out": left_out,
        "reviews": [["whisk", 3, 3]],
    }
    assert sums(proposal, {"reviews": [["whisk", 4]]}) == said


def test_a_proposal_that_changes_nothing():
    nothing = {"why": {}, "introductions": {}, "left_out": [], "reviews": []}
    assert sums(nothing, {"reviews": []}) == "nothing moves"
