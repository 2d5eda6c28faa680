"""Where may a figure go? Each lesson's answer while its mark is held, by the check and by arithmetic alone.

No search: the figure is put into each lesson in turn, and the plan's own check says what would break there.

A figure's reviews go with it: those that still may stand where they are stay, the others follow by their
distances from the new lesson. One that would follow into a lesson without room goes into the nearest lesson
it may lie in, and falls out where there is none: that costs lateness and breaks nothing. What other figures
do is left alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from lessons.rules.ticks import kept_ticks

from .term_aims import last_part, lesson_minutes, measure, owed_reviews
from .term_check import check_plan
from .term_history import standing, window
from .term_problem import all_ranks
from .term_values import Finding, ProblemError, Review, TermProblem

# Findings of a lesson as a whole, which a move may make better or worse without naming any figure.
_OF_A_LESSON = frozenset({"room", "most", "least", "least_minutes"})


@dataclass(frozen=True)
class Place:
    """One lesson's answer to a figure that is held over it.

    `index`: the lesson, None for out of the plan. `allowed`: nothing would be wrong with the figure there
    and nothing else would become wrong or worse. `sentence`: why not, "" where it is allowed; `findings`:
    the same one by one. `reviews`: where its reviews would stand. `aims_before`, `aims_after`: aim -> value,
    in rank; `aims_after` is empty where the figure would not lie inside the term.
    """

    index: int | None
    allowed: bool
    sentence: str
    aims_before: Mapping[str, int] = field(hash=False)
    aims_after: Mapping[str, int] = field(hash=False)
    reviews: tuple[Review, ...] = ()
    findings: tuple[Finding, ...] = ()


def places_for(
    problem: TermProblem, introductions: Mapping[str, int], reviews: Sequence[Review], key: str
) -> tuple[Place, ...]:
    """What each lesson of the term, in order, says to the figure `key`; lessons that are over say so.

    The plan (`introductions`: key -> lesson of the first part, history included) need not be sound. Raises
    ProblemError if `key` is no figure of the problem.
    """
    hold = _Hold(problem, introductions, reviews, key)
    return tuple(hold.over(lesson.index) for lesson in problem.lessons)


def place_for(
    problem: TermProblem,
    introductions: Mapping[str, int],
    reviews: Sequence[Review],
    key: str,
    index: int | None,
) -> Place:
    """One of `places_for`; an `index` of None: the figure and its reviews are taken out of the plan."""
    return _Hold(problem, introductions, reviews, key).over(index)


def reviews_if_new_in(
    problem: TermProblem,
    introductions: Mapping[str, int],
    reviews: Sequence[Review],
    key: str,
    index: int,
) -> tuple[Review, ...]:
    """The reviews of `key` once its first part stands in lesson `index`, by the rule told above."""
    return _Hold(problem, introductions, reviews, key).reviews_in(index)


class _Hold:
    """A figure held over a plan."""

    def __init__(
        self, problem: TermProblem, introductions: Mapping[str, int], reviews: Sequence[Review], key: str
    ) -> None:
        self.problem, self.key = problem, key
        self.state = standing(problem)
        if key not in self.state.place:
            raise ProblemError(f"{key} is no figure of this term.")
        self.figure = problem.figures[self.state.place[key]]
        self.at = introductions.get(key)
        self.own = [review for review in reviews if review.key == key]
        self.rest = {other: lesson for other, lesson in introductions.items() if other != key}
        self.rest_reviews = tuple(review for review in reviews if review.key != key)
        self.before = check_plan(problem, introductions, reviews)
        self.loads_before = self._loads(introductions, reviews)
        self.aims_before = self._aims(introductions, reviews)

    def over(self, index: int | None) -> Place:
        """What would be if the figure stood there."""
        introductions = self.rest if index is None else {**self.rest, self.key: index}
        own: tuple[Review, ...] = ()
        if index is not None:
            own = tuple(self.own) if index == self.at else self.reviews_in(index)
        reviews = (*self.rest_reviews, *own)
        findings = check_plan(self.problem, introductions, reviews)
        against = self._against(findings, introductions, reviews)
        inside = index is None or index + self._parts() <= len(self.problem.lessons)
        return Place(
            index,
            not against,
            " ".join(finding.sentence for finding in against),
            self.aims_before,
            self._aims(introductions, reviews) if inside else {},
            own,
            against,
        )

    def reviews_in(self, index: int) -> tuple[Review, ...]:
        """The figure's own reviews if its first part stands in lesson `index`."""
        last = last_part(self.problem, self.state, self.key, index)
        owed = self._owed(index)
        given_up = max(0, len(self._owed(self.at)) - len(self.own)) if self.own else 0
        ticked = [review.index for review in self.own]
        slack = self.problem.review_slack
        pairs = kept_ticks(ticked, owed, slack=slack, after=last, spared=given_up)
        placed = {due: lesson for lesson, due in pairs if lesson in ticked}
        load = self._loads({**self.rest, self.key: index}, self.rest_reviews)
        for lesson in placed.values():
            load[lesson] += self.figure.review_minutes
        for _, due in pairs:
            if due in placed:
                continue
            free = [
                at for at in window(self.problem, due, last, self.state.first) if self._has_room(load, at)
            ]
            free = [at for at in free if _in_order({**placed, due: at})]
            if free:
                placed[due] = min(free, key=lambda at: (abs(at - due), at))
                load[placed[due]] += self.figure.review_minutes
        return tuple(Review(self.key, placed[due], due) for due in sorted(placed))

    def _owed(self, index: int | None) -> tuple[int, ...]:
        if index is None:
            return ()
        return owed_reviews(self.problem, self.state, {self.key: index}).get(self.key, ())

    def _has_room(self, load: Sequence[int], lesson: int) -> bool:
        return load[lesson] + self.figure.review_minutes <= self.problem.lessons[lesson].minutes

    def _parts(self) -> int:
        return 1 if self.state.settled(self.key) else self.figure.parts

    def _against(
        self, findings: Sequence[Finding], introductions: Mapping[str, int], reviews: Sequence[Review]
    ) -> tuple[Finding, ...]:
        """What is wrong with the figure itself there, and what else becomes wrong or worse."""
        old = {(finding.kind, finding.keys, finding.lessons) for finding in self.before}
        loads = self._loads(introductions, reviews)
        return tuple(
            finding
            for finding in findings
            if self.key in finding.keys
            or (finding.kind, finding.keys, finding.lessons) not in old
            or self._is_worse(finding, loads, introductions)
        )

    def _is_worse(self, finding: Finding, loads: Sequence[int], introductions: Mapping[str, int]) -> bool:
        """Whether a lesson that was wrong before is more so now."""
        if finding.kind not in _OF_A_LESSON or finding.keys:
            return False
        lesson = finding.lessons[0]
        more = loads[lesson] - self.loads_before[lesson]
        if finding.kind in ("most", "least"):
            more = (introductions.get(self.key) == lesson) - (self.at == lesson)
        return more > 0 if finding.kind in ("room", "most") else more < 0

    def _aims(self, introductions: Mapping[str, int], reviews: Sequence[Review]) -> dict[str, int]:
        values = measure(self.problem, self.state, *self._known(introductions, reviews))
        return {aim: values[aim] for aim in all_ranks(self.problem)}

    def _loads(self, introductions: Mapping[str, int], reviews: Sequence[Review]) -> list[int]:
        return list(lesson_minutes(self.problem, self.state, *self._known(introductions, reviews)))

    def _known(
        self, introductions: Mapping[str, int], reviews: Sequence[Review]
    ) -> tuple[dict[str, int], list[Review]]:
        """What can be counted at all: figures of this term, in lessons of this term."""
        count, place = len(self.problem.lessons), self.state.place
        return (
            {key: at for key, at in introductions.items() if key in place and 0 <= at < count},
            [review for review in reviews if review.key in place and 0 <= review.index < count],
        )


def _in_order(placed: Mapping[int, int]) -> bool:
    """Whether reviews (due -> lesson) lie in the order in which they are due, each in another lesson."""
    return all(placed[one] < placed[other] for one, other in pairwise(sorted(placed)))
