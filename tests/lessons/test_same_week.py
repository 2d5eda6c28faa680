"""Parallel courses of which one has lost a lesson: a figure is new in the same week in both all the same."""

from dataclasses import replace

import pytest

from lessons.planners.same_week import lay_on, plan_in_step, slots_of
from lessons.planners.term import FigureToTeach, LessonSlot, TermProblem, check_plan

NAMES = ("box", "turn", "whisk", "wing")


def term(lessons, *, taught=(), previous=None, **changes):
    slots = [LessonSlot(index, 30, max_new=1) for index in range(lessons)]
    for index, names in enumerate(taught):
        slots[index] = replace(slots[index], taught=frozenset(names))
    figures = [FigureToTeach(name, 10, review_minutes=3, order=order) for order, name in enumerate(NAMES)]
    figures = [replace(figure, **changes.get(figure.key, {})) for figure in figures]
    return TermProblem(tuple(figures), tuple(slots), review_after=(1,), previous=previous)


def planned(problems, weeks, joining=None):
    found = plan_in_step(problems, weeks, joining=joining or dict.fromkeys(problems), seconds=6, workers=2)
    for course, plan in found.items():
        if joining is None:
            assert check_plan(problems[course], plan.introductions, plan.reviews) == ()
    return found


def in_weeks(found, weeks):
    return {
        course: {key: weeks[course][at] for key, at in plan.introductions.items()}
        for course, plan in found.items()
    }


class TestTheWeeksOfAll:
    def test_two_lessons_in_one_week_are_told_apart(self):
        assert slots_of([1, 1, 2, 4]) == ((1, 0), (1, 1), (2, 0), (4, 0))

    def test_a_week_without_a_lesson_has_no_room(self):
        laid = lay_on(term(2), slots_of([1, 3]), slots_of([1, 2, 3]))
        assert [(slot.minutes, slot.max_new) for slot in laid.lessons] == [(30, 1), (0, 0), (30, 1)]

    def test_weeks_before_the_first_lesson_to_come_are_history(self):
        laid = lay_on(term(3, taught=[["box"]]), slots_of([1, 3, 4]), slots_of([1, 2, 3, 4]))
        assert [slot.taught for slot in laid.lessons] == [frozenset({"box"}), frozenset(), None, None]

    def test_demands_go_with_their_lessons(self):
        problem = term(3, box={"pinned": 2}, turn={"earliest": 1, "latest": 2, "barred": frozenset({1})})
        laid = lay_on(problem, slots_of([1, 3, 4]), slots_of([1, 2, 3, 4]))
        box, turn = laid.figures[:2]
        assert (box.pinned, turn.earliest, turn.latest, turn.barred) == (3, 2, 3, frozenset({2}))


class TestPlanning:
    def test_a_lost_lesson_does_not_put_the_courses_out_of_step(self):
        """The second has no lesson in the third week, so nothing is new then in the first either."""
        weeks = {"one": [1, 2, 3, 4, 5, 6], "other": [1, 2, 4, 5, 6]}
        found = planned({"one": term(6), "other": term(5)}, weeks)
        there = in_weeks(found, weeks)
        assert there["one"] == there["other"]

    def test_what_stood_apart_is_brought_together(self):
        """Each kept its own order so far; to come together one of them has to move."""
        before = {"box": 0, "turn": 1, "whisk": 2, "wing": 3}
        later = {"box": 0, "turn": 2, "whisk": 1, "wing": 3}
        weeks = {"one": [1, 2, 3, 4, 5], "other": [1, 2, 3, 4, 5]}
        problems = {"one": term(5, previous=before), "other": term(5, previous=later)}
        there = in_weeks(planned(problems, weeks), weeks)
        assert there["one"] == there["other"]
        assert (there["one"]["box"], there["one"]["wing"]) == (1, 4)

    def test_what_has_been_taught_cannot_be(self):
        weeks = {"one": [1, 2, 3, 4, 5], "other": [1, 2, 3, 4, 5]}
        problems = {"one": term(5, taught=[["box"], ["turn"]]), "other": term(5, taught=[["box"], []])}
        there = in_weeks(planned(problems, weeks), weeks)
        apart = {name for name in NAMES if there["one"][name] != there["other"][name]}
        assert apart == {"turn"}

    def test_where_one_is_impossible_its_conflict_speaks_of_its_own_lessons(self):
        weeks = {"one": [1, 2, 3, 4, 5, 6], "other": [1, 3, 4, 5]}
        late = {"pinned": 3}
        problems = {"one": term(6), "other": term(4, box=late, turn=late)}
        found = plan_in_step(problems, weeks, joining=dict.fromkeys(problems), seconds=6)
        assert found["other"].status == "impossible"
        assert {at for reason in found["other"].conflict for at in reason.lessons} == {3}
        assert found["one"].introductions

    @pytest.mark.parametrize("weeks", [[1, 2, 3, 4, 5, 6], [1, 2, 3, 5, 6, 7]])
    def test_newcomers_see_once_more_what_they_need(self, weeks):
        problem = replace(
            term(6, turn={"needs": frozenset({"box"}), "earliest": 4}, box={"latest": 0}), review_slack=0
        )
        both = {"one": weeks, "other": [1, 2, 3, 4, 5, 6]}
        found = planned({"one": problem, "other": problem}, both, joining={"one": 3, "other": None})
        assert [review.index for review in found["one"].reviews if review.key == "box"] == [1, 3]
