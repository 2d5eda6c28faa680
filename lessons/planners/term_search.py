"""The search: a first plan at once, then one aim after the other, each settled before the next.

Aims in whose settling reviews play no part are settled on a model without them, which is far smaller and
loses nothing: any plan of introductions is sound with no review placed.

An aim is settled by the whole model where it is small, and by turns of the whole model and of neighbourhoods
where it is not; beside that a second thread proves bounds. Every turn ends by the solver's own count of work,
never by the clock, so that the search repeats itself exactly until it is proved or its time is up.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from contextlib import nullcontext

from ortools.sat.python import cp_model

from .term_neighbourhoods import MOST_WORK, Neighbourhoods, fixed_figures
from .term_prover import Prover
from .term_reach import Reach
from .term_relaxed import whole
from .term_stage import Found, Stage, hint, reviews_matter, set_parameters, stage_model
from .term_start import ImpossibleTermError, Start, start
from .term_watch import Candidate, Course, Watch

# Up to so many figures the whole model comes first and for long; beyond, neighbourhoods find more.
SMALL = 30
# Figures times lessons from which the whole model with reviews is too large to be of use.
TOO_LARGE = 2500
# Work (by the solver's count, about seconds) of the whole model's first turn; each takes twice the last.
SMALL_TURN, LARGE_TURN = 10.0, 1.0
# Work of the neighbourhoods in a turn, as a multiple of the whole model's.
SMALL_SHARE, LARGE_SHARE = 0.5, 4.0
# Some terms' peak and order are proved sooner without cutting planes, tight ones only with them: so first a
# short attempt without.
PLAIN_TURN = 1.0
# Of the time left, how much an aim may take while others are open; the last may take all.
SHARE_OF_TIME = 0.55


def search(watch: Watch, *, seed: int, workers: int) -> None:
    """Leave the best plan and its bounds in `watch`; raise ImpossibleTermError if it is proved impossible."""
    stages = _Stages(watch, start(watch, seed=seed), seed, workers)
    while not all(watch.proven(aim) for aim in watch.stages):
        # What is left of the time when every aim had its turn goes to those still open, again in rank.
        for aim in watch.stages:
            if watch.over():
                return
            stages.settle(aim)


class _Stages:
    def __init__(self, watch: Watch, begun: Start, seed: int, workers: int) -> None:
        self.watch, self.reaches, self.chosen = watch, begun.reaches, begun.chosen
        self.seed, self.workers = seed, workers
        self.small = sum(len(course.state.to_come) for course in watch.courses) <= SMALL
        self.too_large = sum(map(_size, watch.courses)) > TOO_LARGE
        self.work: dict[str, float] = {}
        self.neighbourhoods: dict[str, Neighbourhoods] = {}
        self.until = 0.0

    def settle(self, aim: str) -> None:
        """Bring the aim as low as the aims above it allow."""
        watch = self.watch
        if watch.proven(aim):
            return
        place = watch.stages.index(aim)
        others = any(not watch.proven(other) for other in watch.stages[place + 1 :])
        share = SHARE_OF_TIME if others else 1.0
        self.until = time.monotonic() + watch.seconds_left() * share
        watch.settle(aim)
        with self._prover(aim) if self.workers > 1 and not self._is_plain(aim) else nullcontext():
            for _ in self._turns(aim):
                if self._is_over(aim):
                    break
        watch.settle(None)

    def _prover(self, aim: str) -> Prover:
        searches = not (self.too_large and self._with_reviews(aim))
        return Prover(self.watch, self.reaches, aim, self.seed, searches=searches)

    def _with_reviews(self, aim: str) -> bool:
        stages = self.watch.stages
        down_to = stages[: stages.index(aim) + 1]
        return any(reviews_matter(course.problem, down_to) for course in self.watch.courses)

    def _is_plain(self, aim: str) -> bool:
        """Without reviews the whole model proves peak and order sooner than anything beside it could."""
        return aim in ("peak", "order") and not self._with_reviews(aim)

    def _is_over(self, aim: str) -> bool:
        return self.watch.over() or self.watch.proven(aim) or time.monotonic() >= self.until

    def _turns(self, aim: str) -> Iterator[None]:
        """One turn after another, without end: the caller stops asking once the aim is settled."""
        with_reviews = self._with_reviews(aim)
        if self.workers == 1:
            self._relax(aim)
            yield
        if aim == "left_out" and self.chosen is not None and aim not in self.work:
            self._solve_whole(aim, self._solver(), LARGE_TURN, self.chosen)
            yield
        if with_reviews and aim in ("peak", "order") and not self.too_large:
            self._solve_whole(aim, self._plain_solver(aim, with_reviews=True), PLAIN_TURN)
            yield
        plain = self._is_plain(aim)
        small = self.small or plain
        while True:
            work = self.work.get(aim, SMALL_TURN if small else LARGE_TURN)
            self.work[aim] = 2 * work
            if not (self.too_large and with_reviews and self.watch.best):
                solver = self._plain_solver(aim, with_reviews=False) if plain else self._solver()
                self._solve_whole(aim, solver, work)
                yield
            if self.watch.best is not None:
                self._search_neighbourhoods(aim, work * (SMALL_SHARE if small else LARGE_SHARE))
                yield

    def _relax(self, aim: str) -> None:
        given = self.watch.given_above(aim)
        stage = stage_model(self.watch, self.reaches, aim, given)
        bound = self.watch.relaxed_bound(stage.model)
        if bound is not None:
            self.watch.raise_bound(aim, bound, given)

    def _solve_whole(
        self, aim: str, solver: cp_model.CpSolver, work: float, chosen: Sequence[Reach] | None = None
    ) -> None:
        """The whole model for so much work; with only chosen figures it proves nothing."""
        watch, given = self.watch, self.watch.given_above(aim)
        stage = stage_model(watch, chosen or self.reaches, aim, given)
        hint(stage, watch.best)
        solver.parameters.max_deterministic_time = work
        if chosen is None:
            solver.best_bound_callback = lambda bound: watch.raise_bound(aim, whole(bound), given)
        status = self._run(solver, stage, aim)[0]
        if chosen is not None:
            return
        if status == cp_model.INFEASIBLE:
            if watch.best is not None:
                raise RuntimeError("The solver calls a term impossible for which there is a plan.")
            raise ImpossibleTermError
        if status == cp_model.MODEL_INVALID:
            raise RuntimeError(f"The term's model is not valid: {stage.model.validate()}")
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            watch.raise_bound(aim, whole(solver.best_objective_bound), given)

    def _search_neighbourhoods(self, aim: str, work: float) -> None:
        """Lay out parts of the plan anew for so much work; plans as good as the last are walked on to."""
        watch, plan = self.watch, self.watch.best
        hoods = self.neighbourhoods.setdefault(aim, Neighbourhoods(watch, self.reaches, self.seed))
        while plan is not None and work > 0 and not self._is_over(aim):
            drawn = hoods.draw(plan)
            given = (*watch.given_above(aim), (aim, plan.values[aim]))
            kept = [fixed_figures(own, free) for own, free in zip(drawn, self.reaches, strict=True)]
            stage = stage_model(watch, drawn, aim, given, kept=kept)
            hint(stage, plan)
            solver = self._solver()
            solver.parameters.max_deterministic_time = MOST_WORK
            status, last = self._run(solver, stage, aim)
            if watch.stopped():
                return
            hoods.learn(status)
            plan = self._better_of(aim, plan, last)
            work -= solver.response_proto.deterministic_time

    def _better_of(self, aim: str, plan: Candidate, other: Candidate | None) -> Candidate:
        stages = self.watch.stages
        aims = stages[: stages.index(aim) + 1]
        if other and [other.values[one] for one in aims] <= [plan.values[one] for one in aims]:
            return other
        return plan

    def _run(self, solver: cp_model.CpSolver, stage: Stage, aim: str) -> tuple[int, Candidate | None]:
        """The solver's status and the last plan it found."""
        found = Found(stage, self.watch, aim)
        solver.parameters.max_time_in_seconds = max(0.0, self.until - time.monotonic())
        return self.watch.solve(stage.model, solver, found), found.last

    def _solver(self) -> cp_model.CpSolver:
        solver = cp_model.CpSolver()
        set_parameters(solver, self.seed)
        return solver

    def _plain_solver(self, aim: str, *, with_reviews: bool) -> cp_model.CpSolver:
        solver = self._solver()
        solver.parameters.cut_level = 0
        if not with_reviews:
            # Measured on the published curriculum instances: without reviews the less relaxation the better;
            # order needs none at all, the fullest lesson is never proved without some.
            solver.parameters.linearization_level = 0 if aim == "order" else 1
        return solver


def _size(course: Course) -> int:
    return len(course.state.to_come) * (len(course.problem.lessons) - course.state.first)
