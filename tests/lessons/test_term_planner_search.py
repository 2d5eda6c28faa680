"""How the search works: bounds that stay true, what there is room for, parts laid out anew, two threads."""

import random
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ortools.sat.python import cp_model
from ortools.util.python.solve_interrupter import SolveInterrupter

from lessons.planners.term import FigureToTeach, LessonSlot, TermProblem, check_plan, plan_term
from lessons.planners.term_choice import choose
from lessons.planners.term_history import standing
from lessons.planners.term_neighbourhoods import Neighbourhoods, fixed_figures
from lessons.planners.term_reach import reach
from lessons.planners.term_relaxed import relaxed_bound
from lessons.planners.term_stage import stage_model
from lessons.planners.term_start import start
from lessons.planners.term_watch import Course, Plan, Watch


def generated(figures, lessons, minutes, seed, *, needs=(0, 1, 2, 3), reviews=(4, 6)):
    dice = random.Random(seed)
    made = tuple(
        FigureToTeach(
            f"figure {number}",
            dice.randint(8, 25),
            dice.randint(*reviews),
            needs={f"figure {need}" for need in dice.sample(range(number), min(number, dice.choice(needs)))},
            order=number,
            importance=dice.randint(1, 10),
            required=False,
        )
        for number in range(figures)
    )
    return TermProblem(made, tuple(LessonSlot(index, minutes) for index in range(lessons)))


def watch_over(problem, seconds=60):
    return Watch([Course(problem, standing(problem))], seconds)


class TestBounds:
    """A bound counts only as long as the aims above it stand no higher than when it was proved."""

    @pytest.fixture
    def watch(self):
        figures = (FigureToTeach("fan", 20, required=False), FigureToTeach("wing", 20, required=False))
        ranks = ("moved", "left_out", "late_reviews", "peak", "order")
        lessons = tuple(LessonSlot(index, 60) for index in range(3))
        return watch_over(TermProblem(figures, lessons, previous={"fan": 0, "wing": 1}, ranks=ranks))

    def test_it_holds_for_what_it_was_given(self, watch):
        watch.offer([Plan({"fan": 0, "wing": 1}, ())])
        watch.raise_bound("peak", 20, watch.given_above("peak"))
        assert watch.bound("peak") == 20

    def test_it_falls_away_once_an_aim_above_stands_higher(self, watch):
        watch.offer([Plan({"fan": 2}, ())])
        assert watch.best.values["left_out"] == 1
        watch.raise_bound("peak", 20, (("moved", 2), ("left_out", 0)))
        assert watch.bound("peak") == 0
        watch.offer([Plan({"fan": 0, "wing": 1}, ())])
        assert watch.bound("peak") == 20

    def test_one_proved_under_nothing_always_holds(self, watch):
        watch.raise_bound("peak", 7)
        watch.offer([Plan({"fan": 0}, ())])
        assert watch.bound("peak") == 7

    def test_only_a_better_value_down_to_the_aim_in_hand_changes_the_plan(self, watch):
        watch.offer([Plan({"fan": 0, "wing": 1}, ())])
        watch.offer([Plan({"fan": 1, "wing": 1}, ())], through="moved")
        assert watch.best.plans[0].introductions == {"fan": 0, "wing": 1}


@st.composite
def tight_terms(draw):
    count = draw(st.integers(2, 5))
    figures = []
    for number in range(count):
        needs = draw(st.sets(st.integers(0, number - 1), max_size=2)) if number else set()
        figures.append(
            FigureToTeach(
                f"figure {number}",
                draw(st.integers(5, 25)),
                needs={f"figure {need}" for need in needs},
                importance=draw(st.integers(1, 9)),
                required=draw(st.integers(0, 9)) == 0,
                latest=draw(st.one_of(st.none(), st.integers(0, 2))),
                earliest=draw(st.one_of(st.none(), st.integers(0, 2))),
            )
        )
    lessons = tuple(
        LessonSlot(index, draw(st.integers(10, 40)), max_new=draw(st.integers(0, 3))) for index in range(3)
    )
    return TermProblem(tuple(figures), lessons)


@given(problem=tight_terms())
def test_the_choice_of_figures_never_says_more_than_is_true(problem):
    """Against every plan there is."""
    state = standing(problem)
    choice = choose(problem, state, reach(problem, state), seed=1)
    least = None
    for places in product((None, 0, 1, 2), repeat=len(problem.figures)):
        placed = {f.key: at for f, at in zip(problem.figures, places, strict=True) if at is not None}
        if not check_plan(problem, placed):
            left_out = sum(f.importance for f in problem.figures if f.key not in placed)
            least = left_out if least is None else min(least, left_out)
    if choice is None:
        assert least is None
    elif least is not None:
        assert choice.left_out <= least


def test_the_choice_says_at_once_that_too_much_is_required():
    figures = tuple(FigureToTeach(f"figure {n}", 20) for n in range(10))
    problem = TermProblem(figures, tuple(LessonSlot(index, 60) for index in range(3)))
    state = standing(problem)
    assert choose(problem, state, reach(problem, state), seed=1) is None


@pytest.mark.parametrize("seed", range(4))
def test_the_relaxation_bounds_every_aim_from_below(seed):
    problem = generated(8, 5, 40, seed)
    plan = plan_term(problem, seconds=30)
    assert plan.status == "optimal"
    watch = watch_over(problem)
    watch.offer([Plan(dict(plan.introductions), plan.reviews)])
    for aim in plan.aims:
        given = watch.given_above(aim.name)
        stage = stage_model(watch, [reach(problem, standing(problem))], aim.name, given)
        bound = relaxed_bound(stage.model, seconds=20, interrupter=SolveInterrupter())
        assert bound <= aim.value


def test_a_relaxation_that_is_broken_off_bounds_nothing():
    interrupter = SolveInterrupter()
    interrupter.interrupt()
    problem = generated(30, 12, 60, 1)
    watch = watch_over(problem)
    stage = stage_model(watch, [reach(problem, standing(problem))], "late_reviews", ())
    assert relaxed_bound(stage.model, seconds=20, interrupter=interrupter) is None
    assert relaxed_bound(stage.model, seconds=0, interrupter=SolveInterrupter()) is None


class TestNeighbourhoods:
    @pytest.fixture
    def drawn_from(self):
        watch = watch_over(generated(40, 14, 60, 2))
        begun = start(watch, seed=1)
        return watch, Neighbourhoods(watch, begun.reaches, seed=1), begun.reaches

    def test_what_is_not_freed_stays_where_it_stands(self, drawn_from):
        watch, hoods, reaches = drawn_from
        places = watch.best.plans[0].introductions
        for _ in range(20):
            (drawn,) = hoods.draw(watch.best)
            fixed = fixed_figures(drawn, reaches[0])
            assert fixed
            assert all(drawn.lessons[key] == (places[key],) for key in fixed)
            freed = [key for key in places if key not in fixed]
            assert all(drawn.lessons[key] == reaches[0].lessons[key] for key in freed)

    def test_they_grow_while_they_are_solved_and_shrink_when_they_are_not(self, drawn_from):
        _, hoods, _ = drawn_from
        before = hoods.freed
        hoods.learn(cp_model.OPTIMAL)
        assert hoods.freed > before
        for _ in range(50):
            hoods.learn(cp_model.FEASIBLE)
        assert 1 < hoods.freed < before
        for _ in range(500):
            hoods.learn(cp_model.OPTIMAL)
        assert hoods.freed == 14

    def test_they_better_a_large_plan(self):
        problem = generated(45, 14, 75, 3)
        watch = watch_over(problem)
        start(watch, seed=1)
        first = watch.best.values["late_reviews"]
        late: list[int] = [first]

        def on_progress(progress):
            late.extend(aim.value for aim in progress.aims if aim.name == "late_reviews")

        plan = plan_term(
            problem, seconds=120, on_progress=on_progress, should_stop=lambda: late[-1] < 0.8 * first
        )
        assert late[-1] < 0.8 * first
        assert check_plan(problem, plan.introductions, plan.reviews) == ()


class TestTheSameAgain:
    """Equal problem and seed: an equal plan whenever the search ends by proof, however many threads prove."""

    @pytest.mark.parametrize("seed", [1, 3, 4])
    def test_with_one_worker_and_with_two(self, seed):
        problem = generated(10, 6, 45, seed)
        plans = [plan_term(problem, seconds=60, workers=workers) for workers in (2, 1, 2)]
        assert {plan.status for plan in plans} == {"optimal"}
        assert plans[0] == plans[1] == plans[2]

    def test_the_second_thread_alone_does_not_change_the_plan(self, monkeypatch):
        """Bounds that come at once, from the start, or never: the plan kept is the same."""
        problem = generated(10, 6, 45, 7)
        plans = []
        for delay in (0.0, 0.05, 60.0):
            monkeypatch.setattr("lessons.planners.term_prover.DELAY_SECONDS", delay)
            plans.append(plan_term(problem, seconds=60, workers=2))
        assert {plan.status for plan in plans} == {"optimal"}
        assert plans[0] == plans[1] == plans[2]


def test_a_fault_of_the_second_thread_is_not_swallowed(monkeypatch):
    def fail(*_args, **_more):
        raise ArithmeticError("the bound thread fell over")

    monkeypatch.setattr("lessons.planners.term_prover.DELAY_SECONDS", 0.0)
    monkeypatch.setattr("lessons.planners.term_prover.stage_model", fail)
    with pytest.raises(ArithmeticError, match="fell over"):
        plan_term(generated(30, 10, 60, 1), seconds=3, workers=2)


def test_an_overfull_term_is_told_its_bound_with_its_first_plan():
    problem = generated(160, 40, 75, 1)
    told = []
    plan_term(problem, seconds=2, on_progress=lambda progress: told.append(progress.aims))
    left_out = next(aims[0] for aims in told if aims and aims[0].bound)
    assert left_out.bound * 1.1 >= left_out.value > 0


@pytest.mark.parametrize("size", [(14, 8, 45), (60, 16, 75)])
def test_no_plan_is_worse_than_list_scheduling(size):
    problem = generated(*size, 5)
    watch = watch_over(problem)
    start(watch, seed=1)
    first = [watch.best.values[aim] for aim in watch.ranks]
    reached = [aim.value for aim in plan_term(problem, seconds=3).aims]
    assert reached <= first
