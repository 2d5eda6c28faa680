"""A first plan at once, by list scheduling: lesson after lesson, the most pressing figures that fit.

It may find nothing where the term is tight; the search then finds its own first plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from .term_aims import last_part, lesson_minutes, measure, owed_reviews
from .term_history import Standing, window
from .term_problem import all_ranks
from .term_reach import Reach, groups_to_come, needs_to_come
from .term_values import FigureToTeach, Review, TermProblem

Plan = tuple[dict[str, int], tuple[Review, ...]]
Urgency = Callable[[FigureToTeach, int], tuple[float, ...]]


def first_plans(problem: TermProblem, state: Standing, reach: Reach) -> Iterable[Plan]:
    """Plans by different rules of thumb, to be checked by the caller: none is sure to be sound."""
    rules = _urgencies(problem, state, reach)
    if problem.previous:
        rules = [_like_before(problem, rules[0]), *rules]
    for urgency in rules:
        for spread in (False, True):
            introductions = _Schedule(problem, state, reach, urgency, spread=spread).run()
            yield introductions, place_reviews(problem, state, introductions)


def _urgencies(problem: TermProblem, state: Standing, reach: Reach) -> list[Urgency]:
    weight = _weights(state, reach)

    def by_date(figure: FigureToTeach, lesson: int) -> tuple[float, ...]:
        latest = max(reach.lessons[figure.key], default=0)
        return (figure.key not in reach.must, latest, -weight[figure.key], state.place[figure.key])

    def by_worth(figure: FigureToTeach, lesson: int) -> tuple[float, ...]:
        worth = weight[figure.key] / max(figure.minutes, 1)
        return (figure.key not in reach.must, -worth, state.place[figure.key])

    def by_syllabus(figure: FigureToTeach, lesson: int) -> tuple[float, ...]:
        return (figure.key not in reach.must, figure.order, state.place[figure.key])

    return [by_date, by_worth, by_syllabus]


def _like_before(problem: TermProblem, rule: Urgency) -> Urgency:
    previous = problem.previous or {}

    def like_before(figure: FigureToTeach, lesson: int) -> tuple[float, ...]:
        before = previous.get(figure.key)
        return (before is None or before > lesson, *rule(figure, lesson))

    return like_before


def _weights(state: Standing, reach: Reach) -> dict[str, int]:
    """The importance of each figure that can be placed, and of all that grows out of it."""
    possible = [figure for figure in state.to_come if reach.lessons[figure.key]]
    needed_by: dict[str, list[str]] = {figure.key: [] for figure in possible}
    for figure in possible:
        for same_lesson in (False, True):
            for need in needs_to_come(figure, state, same_lesson=same_lesson):
                if need in needed_by:
                    needed_by[need].append(figure.key)
    importance = {figure.key: figure.importance for figure in possible}
    weights = {}
    for key in needed_by:
        seen, pending = {key}, [key]
        while pending:
            fresh = [other for other in needed_by[pending.pop()] if other not in seen]
            seen.update(fresh)
            pending.extend(fresh)
        weights[key] = sum(importance[other] for other in seen)
    return weights


class _Schedule:
    """One run through the lessons to come."""

    def __init__(
        self, problem: TermProblem, state: Standing, reach: Reach, urgency: Urgency, *, spread: bool
    ) -> None:
        self.problem, self.state, self.reach, self.urgency = problem, state, reach, urgency
        self.room = [lesson.minutes for lesson in problem.lessons]
        self.new = [lesson.max_new for lesson in problem.lessons]
        self.at = dict(state.taught)
        for key, minutes in state.finishing.items():
            self.at[key] = state.first
            self.room[state.first] -= minutes
        self.apart = groups_to_come(problem.apart, state)
        self.units = self._units()
        self.cap = self._even_share() if spread else None

    def _units(self) -> list[tuple[FigureToTeach, ...]]:
        """What is placed at one stroke: a set to be introduced together, or a single figure."""
        home = {figure.key: {figure.key} for figure in self.state.to_come}
        for group in groups_to_come(self.problem.together, self.state):
            joined = set().union(*(home[key] for key in group if key in home))
            for key in joined:
                home[key] = joined
        units: dict[int, list[FigureToTeach]] = {}
        for figure in self.state.to_come:
            units.setdefault(id(home[figure.key]), []).append(figure)
        return [
            tuple(unit) for unit in units.values() if all(self.reach.lessons[figure.key] for figure in unit)
        ]

    def _even_share(self) -> int:
        lessons = len(self.problem.lessons) - self.state.first
        return -(-sum(figure.minutes for figure in self.state.to_come) // max(lessons, 1))

    def run(self) -> dict[str, int]:
        waiting = list(self.units)
        for lesson in range(self.state.first, len(self.problem.lessons)):
            placed = True
            while placed:
                placed = False
                for unit in sorted(waiting, key=lambda unit: min(self.urgency(f, lesson) for f in unit)):
                    if self._wanted(unit, lesson) and self._fits(unit, lesson):
                        self._place(unit, lesson)
                        waiting.remove(unit)
                        placed = True
        return self.at

    def _wanted(self, unit: tuple[FigureToTeach, ...], lesson: int) -> bool:
        """Keep to an even share of minutes an evening unless the figure cannot wait."""
        if self.cap is None:
            return True
        used = self.problem.lessons[lesson].minutes - self.room[lesson]
        cannot_wait = any(lesson == max(self.reach.lessons[figure.key], default=-1) for figure in unit)
        return cannot_wait or used + sum(figure.part_minutes()[0] for figure in unit) <= self.cap

    def _fits(self, unit: tuple[FigureToTeach, ...], lesson: int) -> bool:
        if len(unit) > self.new[lesson]:
            return False
        demand: dict[int, int] = {}
        for figure in unit:
            if lesson not in self.reach.lessons[figure.key]:
                return False
            for part, minutes in enumerate(figure.part_minutes()):
                demand[lesson + part] = demand.get(lesson + part, 0) + minutes
        if any(minutes > self.room[at] for at, minutes in demand.items()):
            return False
        keys = {figure.key for figure in unit}
        return all(self._ready(figure, lesson, keys) for figure in unit) and self._kept_apart(unit, lesson)

    def _ready(self, figure: FigureToTeach, lesson: int, mates: set[str]) -> bool:
        for same_lesson in (False, True):
            for need in needs_to_come(figure, self.state, same_lesson=same_lesson):
                if same_lesson and need in mates and self.state.parts[need] == 1:
                    continue
                if need not in self.at:
                    return False
                if last_part(self.problem, self.state, need, self.at[need]) > lesson - (not same_lesson):
                    return False
        return True

    def _kept_apart(self, unit: tuple[FigureToTeach, ...], lesson: int) -> bool:
        for group in self.apart:
            mine = [figure for figure in unit if figure.key in group]
            if len(mine) > 1:
                return False
            for figure in mine:
                for other in group:
                    if other != figure.key and other in self.at:
                        end = last_part(self.problem, self.state, other, self.at[other])
                        if self.at[other] <= lesson + figure.parts - 1 and lesson <= end:
                            return False
        return True

    def _place(self, unit: tuple[FigureToTeach, ...], lesson: int) -> None:
        for figure in unit:
            self.at[figure.key] = lesson
            self.new[lesson] -= 1
            for part, minutes in enumerate(figure.part_minutes()):
                self.room[lesson + part] -= minutes


def place_reviews(
    problem: TermProblem, state: Standing, introductions: Mapping[str, int]
) -> tuple[Review, ...]:
    """Put each owed review into the free room nearest its due lesson, in the order in which they are due.

    Where the fullest lesson matters more than late reviews, the reviews make no lesson fuller than it is.
    """
    load = list(lesson_minutes(problem, state, introductions, ()))
    ranks = all_ranks(problem)
    room = [lesson.minutes for lesson in problem.lessons]
    if ranks.index("peak") < ranks.index("late_reviews"):
        peak = measure(problem, state, introductions, ())["peak"]
        room = [min(minutes, peak) for minutes in room]
    owed = owed_reviews(problem, state, introductions)
    rows = sorted((due, state.place[key], key) for key, dues in owed.items() for due in dues)
    after = {key: last_part(problem, state, key, introductions[key]) for key in owed}
    reviews = []
    for due, place, key in rows:
        minutes = problem.figures[place].review_minutes
        lessons = window(problem, due, after[key], state.first)
        free = [at for at in lessons if load[at] + minutes <= room[at]]
        if free:
            at = min(free, key=lambda at: (abs(at - due), at))
            load[at] += minutes
            after[key] = at
            reviews.append(Review(key, at, due))
    return tuple(reviews)
