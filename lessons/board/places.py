"""While a mark is held: what each lesson to come says to it, in a word and in a sentence."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from lessons.actions.cards import with_dues
from lessons.models import TermPlan
from lessons.planners.places import Place, place_for, places_for
from lessons.planners.term import check_plan
from lessons.planners.term_aims import measure
from lessons.planners.term_history import standing
from lessons.planners.term_values import Finding, Review
from lessons.problems import CourseProblem, course_problem, placements
from lessons.rules.cost_words import Cost, costs

NEW, AGAIN = "new", "again"
_SHORT: Final = {
    "history": "has been",
    "earliest": "too early",
    "latest": "too late",
    "barred": "not here",
    "term": "runs over",
    "room": "too full",
    "most": "too many new",
    "together": "not alone",
    "apart": "not with it",
    "least": "too few new",
    "least_minutes": "too little",
    "required": "must be taught",
    "review": "wrong day",
}


@dataclass(frozen=True)
class Said:
    """One lesson's answer to a held mark; `lesson`: its primary key, None for out of the plan."""

    lesson: int | None
    may: bool
    short: str
    sentence: str
    costs: tuple[Cost, ...] = ()

    def as_json(self) -> dict[str, Any]:
        told = [cost.sentence for cost in self.costs]
        return {"may": self.may, "short": self.short, "sentence": self.sentence, "costs": told}


@dataclass(frozen=True)
class Held:
    """A mark in the hand: a figure's New, or the Again that stands in lesson `origin` (an index)."""

    problem: CourseProblem
    name: str
    kind: str
    origin: int | None = None

    def answers(self) -> Iterator[Said]:
        """Of every lesson to come, in order, and last of out of the plan. No query."""
        lessons, first = self.problem.lessons, self.problem.first_to_come
        if self.kind == AGAIN:
            again = _Again(self)
            for index in [*range(first, len(lessons)), None]:
                yield again.over(index)
            return
        introductions, reviews = placements(self.problem)
        asked = (self.problem.problem, introductions, reviews, self.name)
        for place in places_for(*asked)[first:]:
            yield self._said(place)
        yield self._said(place_for(*asked, None))

    def _said(self, place: Place) -> Said:
        # A figure that is kept in its lesson takes the pin along.
        own_pin = ("pinned", (self.name,))
        against = [one for one in place.findings if place.index is None or (one.kind, one.keys) != own_pin]
        return _said(self, place.index, against, place.aims_before, place.aims_after)


def held(plan: TermPlan, figure: int, kind: str, origin: int | None) -> Held | None:
    """The mark of a figure (its primary key) of the draft; `origin`: the key of the lesson its Again stands
    in. None where the draft has no such mark."""
    problem = course_problem(plan)
    name = next((key for key, row in problem.plan_figures.items() if row.figure_id == figure), None)
    if name is None:
        return None
    if kind == NEW:
        return Held(problem, name, kind)
    index = next((at for at, lesson in enumerate(problem.lessons) if lesson.pk == origin), None)
    return None if index is None else Held(problem, name, kind, index)


class _Again:
    """One review of a figure, tried in other lessons."""

    def __init__(self, held: Held) -> None:
        self.held, self.problem = held, held.problem.problem
        self.introductions, self.reviews = placements(held.problem)
        own = [review for review in self.reviews if review.key == held.name]
        self.others = [review for review in self.reviews if review.key != held.name]
        self.ticked = [review.index for review in own if review.index != held.origin]
        self.state = standing(self.problem)
        self.before = self._check(self.reviews)
        self.aims = measure(self.problem, self.state, self.introductions, self.reviews)

    def over(self, index: int | None) -> Said:
        if index is not None and index in self.ticked:
            number = index + 1
            sentence = f"{self.held.name} comes again in lesson {number} already."
            return Said(self._key(index), False, "is there", sentence)
        ticked = sorted([*self.ticked, *([] if index is None else [index])])
        own = [Review(self.held.name, at, due) for at, due in self._with_dues(ticked)]
        reviews = (*self.others, *own)
        against = [one for key, one in self._check(reviews).items() if self._is_new(key, one)]
        after = measure(self.problem, self.state, self.introductions, reviews)
        return _said(self.held, index, against, self.aims, after)

    def _with_dues(self, ticked: Sequence[int]) -> list[tuple[int, int]]:
        return with_dues(self.held.problem, self.held.name, ticked)

    def _check(self, reviews: Sequence[Review]) -> dict[tuple[Any, ...], Finding]:
        found = check_plan(self.problem, self.introductions, reviews)
        return {(one.kind, one.keys, one.lessons): one for one in found}

    def _is_new(self, key: tuple[Any, ...], finding: Finding) -> bool:
        """Whether the check says it only now; a lesson that was too full may only have become fuller where
        the mark comes to."""
        if key not in self.before:
            return True
        return finding.sentence != self.before[key].sentence and self.held.origin not in finding.lessons

    def _key(self, index: int) -> int:
        return int(self.held.problem.lessons[index].pk)


def _said(
    held: Held,
    index: int | None,
    against: Sequence[Finding],
    before: Mapping[str, int],
    after: Mapping[str, int],
) -> Said:
    lesson = None if index is None else held.problem.lessons[index].pk
    if against:
        sentence = " ".join(finding.sentence for finding in against)
        return Said(lesson, False, _short(against[0], held), sentence, costs(before, after))
    return Said(lesson, True, "fits" if index is not None else "may stay out", "", costs(before, after))


def _short(finding: Finding, held: Held) -> str:
    name = held.name
    if finding.kind == "need":
        if len(finding.lessons) == 1:
            return "needs others"
        return "too early" if finding.keys[0] == name else "too late"
    if finding.kind == "most" and not held.problem.problem.lessons[finding.lessons[0]].max_new:
        return "no new here"
    if finding.kind == "pinned":
        return "is kept" if finding.keys == (name,) else "breaks a pin"
    return _SHORT.get(finding.kind, "does not fit")
