"""The rest of a term planned again: history stays, what was planned is disturbed least, and why is said."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lessons.planners.again import LEAVE_NOTHING_OUT, MOVE_LEAST, plan_again
from lessons.planners.newcomers import once_more, plan_for_newcomers
from lessons.planners.term import FigureToTeach, LessonSlot, Review, TermProblem, check_plan, plan_term
from lessons.rules.why_moves import Question, why_moves

DAYS = tuple(f"Tuesday {number}" for number in range(1, 12))


def lessons(count, *, taught=(), minutes=30, max_new=1):
    slots = [LessonSlot(index, minutes, max_new=max_new) for index in range(count)]
    for index, names in enumerate(taught):
        slots[index] = replace(slots[index], taught=frozenset(names))
    return tuple(slots)


def figures(*names, **changes):
    """Ten minutes each, without reviews, each needing the one before it unless changed by name."""
    made, before = [], None
    for order, name in enumerate(names):
        needs = frozenset({before} if before else ())
        made.append(FigureToTeach(name, 10, needs=needs, order=order))
        made[-1] = replace(made[-1], **changes.get(name, {}))
        before = name
    return tuple(made)


def free(*names, **changes):
    return tuple(
        replace(figure, needs=changes.get(figure.key, {}).get("needs", frozenset()))
        for figure in figures(*names, **changes)
    )


def again(problem, introductions, reviews=()):
    return plan_again(problem, introductions, reviews, seconds=5)


class TestLeastDisturbed:
    def test_a_plan_that_holds_is_left_as_it_is(self):
        problem = TermProblem(figures("box", "turn"), lessons(4, taught=[["box"]]))
        found = again(problem, {"box": 0, "turn": 2})
        assert found.holds
        assert dict(found.proposals[0].plan.introductions) == {"box": 0, "turn": 2}

    def test_what_was_not_taught_pushes_only_what_needs_it(self):
        """Box was not reached; turn needs it and stood next; wing needs nothing and stays."""
        problem = TermProblem(
            free("box", "turn", "wing", turn={"needs": frozenset({"box"})}), lessons(5, taught=[[]])
        )
        found = again(problem, {"turn": 1, "wing": 2})
        (proposal,) = found.proposals
        assert proposal.plan.introductions["wing"] == 2
        assert proposal.plan.introductions["box"] < proposal.plan.introductions["turn"]

    def test_history_stays_where_it_was(self):
        problem = TermProblem(figures("box", "turn", "wing"), lessons(5, taught=[["box"], ["turn"]]))
        found = again(problem, {"box": 0, "turn": 1})
        assert {key: found.proposals[0].plan.introductions[key] for key in ("box", "turn")} == {
            "box": 0,
            "turn": 1,
        }

    def test_reviews_that_still_serve_stay_where_they_are(self):
        """The planner alone would put them in their due lessons; a week late is as allowed."""
        box = FigureToTeach("box", 10, review_minutes=4)
        problem = TermProblem((box,), lessons(6, taught=[["box"]]), review_after=(1, 3))
        stand = (Review("box", 2, 1), Review("box", 4, 3))
        found = again(problem, {"box": 0}, stand)
        assert found.holds
        assert found.proposals[0].plan.reviews == stand

    def test_what_the_director_left_without_an_again_is_given_none(self):
        box = FigureToTeach("box", 10, review_minutes=4)
        found = again(TermProblem((box,), lessons(6, taught=[["box"]])), {"box": 0})
        assert found.holds
        assert found.proposals[0].plan.reviews == ()

    def test_a_figure_that_went_badly_gets_the_reviews_it_is_owed(self):
        box = FigureToTeach("box", 10, review_minutes=4, review_after=(1, 2, 3, 4))
        problem = TermProblem((box,), lessons(6, taught=[["box"]]))
        found = again(problem, {"box": 0}, (Review("box", 1, 1),))
        assert not found.holds
        assert len(found.proposals[0].plan.reviews) == 4


class TestTwoProposals:
    @pytest.fixture
    def asked(self):
        """Of three lessons to come each takes one figure. Box was not taught, and must come before turn and
        wing, which stand in the first two: to teach it both move; left out, nothing does."""
        needs = {"needs": frozenset()}
        problem = TermProblem(
            free("box", "turn", "wing", turn=needs, wing=needs, box={"latest": 1}), lessons(4, taught=[[]])
        )
        return problem, {"turn": 1, "wing": 2}

    def test_both_are_shown_where_fewer_moves_would_cost_a_figure(self, asked):
        found = again(*asked)
        nothing_out, least = found.proposals
        assert (nothing_out.name, least.name) == (LEAVE_NOTHING_OUT, MOVE_LEAST)
        assert nothing_out.plan.left_out == ()
        assert least.plan.left_out == ("box",)
        assert dict(least.plan.introductions) == {"turn": 1, "wing": 2}

    def test_only_one_where_nothing_need_be_left_out(self, asked):
        problem, stands = asked
        box = replace(problem.figures[0], latest=None)
        found = again(replace(problem, figures=(box, *problem.figures[1:])), stands)
        assert [proposal.name for proposal in found.proposals] == [LEAVE_NOTHING_OUT]


class TestWhatNoLongerFits:
    def test_the_least_important_is_left_out_and_the_conflict_says_why(self):
        problem = TermProblem(
            free("box", "turn", "wing", turn={"importance": 5}, wing={"importance": 9}),
            lessons(3, taught=[[]]),
        )
        found = again(problem, {"turn": 1, "wing": 2})
        assert found.proposals[0].plan.left_out == ("box",)
        assert {reason.kind for reason in found.conflict} >= {"required", "most"}
        assert not found.holds

    def test_what_is_optional_goes_before_anything_required(self):
        problem = TermProblem(
            free("box", "turn", turn={"required": False, "importance": 9}), lessons(2, taught=[[]])
        )
        found = again(problem, {"turn": 1})
        assert found.proposals[0].plan.left_out == ("turn",)

    def test_a_pin_gives_way_only_where_nothing_else_helps(self):
        slots = lessons(3, taught=[[]])
        problem = TermProblem(free("box", "turn", box={"pinned": 1}, turn={"pinned": 1}), slots)
        found = again(problem, {"box": 1, "turn": 1})
        assert found.gave_way in {("box",), ("turn",)}
        assert len(found.proposals[0].plan.introductions) == 2


class TestNewcomers:
    def problem(self):
        """Turn needs box. Newcomers may come until the fourth lesson; reviews are due after one and two."""
        box = FigureToTeach("box", 10, review_minutes=4, latest=0)
        turn = FigureToTeach("turn", 10, needs=frozenset({"box"}), earliest=5)
        return TermProblem((box, turn), lessons(8), review_after=(1, 2), review_slack=0)

    def test_what_they_need_comes_once_more_in_that_lesson(self):
        found = plan_for_newcomers(self.problem(), 3, seconds=5)
        assert [review.index for review in found.reviews] == [1, 2, 3]
        assert (
            check_plan(once_more(self.problem(), 3, found.introductions), found.introductions, found.reviews)
            == ()
        )
        assert found.status == "optimal"

    def test_without_such_a_lesson_it_is_the_planner_alone(self):
        assert plan_for_newcomers(self.problem(), None, seconds=5) == plan_term(self.problem(), seconds=5)

    def test_what_is_left_out_stays_left_out(self):
        problem = self.problem()
        extra = FigureToTeach("wing", 99, required=False)
        found = plan_for_newcomers(replace(problem, figures=(*problem.figures, extra)), 3, seconds=5)
        assert found.left_out == ("wing",)
        assert [review.index for review in found.reviews] == [1, 2, 3]


class TestWhy:
    def why(self, problem, before, after, **lost):
        return why_moves(Question(problem, before, after, DAYS, lost))

    def test_only_what_moves_has_a_reason(self):
        problem = TermProblem(free("box", "turn"), lessons(4))
        assert self.why(problem, {"box": 1, "turn": 2}, {"box": 1, "turn": 2}) == {}

    def test_what_the_calendar_or_an_evening_did_comes_first(self):
        problem = TermProblem(free("box"), lessons(4))
        said = self.why(
            problem, {}, {"box": 2}, box="box was planned for Tuesday 1, which falls out: place it anew."
        )
        assert said == {"box": "box was planned for Tuesday 1, which falls out."}

    def test_it_goes_where_what_it_needs_went(self):
        problem = TermProblem(figures("box", "turn"), lessons(4))
        said = self.why(problem, {"box": 0, "turn": 1}, {"box": 1, "turn": 2})
        assert said["turn"] == "It needs box, which goes to Tuesday 2."

    def test_it_makes_room(self):
        problem = TermProblem(free("box", "turn"), lessons(4))
        said = self.why(problem, {"turn": 1}, {"box": 1, "turn": 2})
        assert said == {"box": "It stood in no lesson.", "turn": "Tuesday 2 takes box instead."}

    def test_a_lesson_finishes_something_first(self):
        problem = TermProblem(free("box", "turn"), lessons(4, taught=[[]]), unfinished={"box": 8})
        assert (
            self.why(problem, {"turn": 1}, {"box": 1, "turn": 2})["turn"] == "Tuesday 2 finishes box first."
        )

    @pytest.mark.parametrize(
        ("changes", "said"),
        [
            ({"barred": frozenset({1})}, "It may not be new on Tuesday 2."),
            ({"latest": 0}, "It must come by Tuesday 1."),
            ({"earliest": 2}, "It may not come before Tuesday 3."),
            ({"pinned": 2}, "It is kept in this lesson."),
            ({}, "So the rest fits."),
        ],
    )
    def test_what_is_asked_of_it(self, changes, said):
        problem = TermProblem(free("box", box=changes), lessons(4))
        assert self.why(problem, {"box": 1}, {"box": 2}) == {"box": said}

    def test_no_room_is_left(self):
        problem = TermProblem(figures("box", "turn"), lessons(1))
        said = self.why(problem, {"box": 0, "turn": 0}, {})
        assert said == {
            "box": "No lesson to come has room for it.",
            "turn": "It needs box, which has no lesson either.",
        }


@settings(max_examples=25)
@given(st.data())
def test_every_proposal_is_sound_and_never_moves_history(data):
    count = data.draw(st.integers(3, 6))
    names = [f"figure {number}" for number in range(data.draw(st.integers(1, 6)))]
    stands = {name: data.draw(st.none() | st.integers(0, count - 1)) for name in names}
    been = data.draw(st.integers(0, count - 1))
    taught = [[name for name in names if stands[name] == index] for index in range(been)]
    rows = tuple(
        FigureToTeach(
            name,
            data.draw(st.integers(5, 15)),
            review_minutes=data.draw(st.sampled_from([0, 4])),
            needs=frozenset(data.draw(st.sets(st.sampled_from(names[:place]), max_size=1))) if place else (),
            required=data.draw(st.booleans()),
        )
        for place, name in enumerate(names)
    )
    problem = TermProblem(rows, lessons(count, taught=taught, max_new=2))
    before = {name: at for name, at in stands.items() if at is not None}
    found = plan_again(problem, before, (), joining=data.draw(st.none() | st.just(count - 1)), seconds=5)
    assert found.proposals
    for proposal in found.proposals:
        assert check_plan(proposal.problem, proposal.plan.introductions, proposal.plan.reviews) == ()
        assert all(proposal.plan.introductions[name] == at for name, at in before.items() if at < been)
