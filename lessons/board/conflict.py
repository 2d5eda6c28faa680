"""A run that found no plan, on its page: each reason, where it is set, and what would undo it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from lessons.actions.ways import ON_THE_DRAFT
from lessons.models import LessonSession, PlanRun, PlanStatus
from lessons.problems.course import NOTHING_NEW
from lessons.rules.conflict_words import Demand, Thought, thoughts
from lessons.rules.cost_words import comes_to

ON_THE_CARD = frozenset({"required", "pinned", "earliest", "latest", "barred", "together", "apart"})
# So many ways stand under a reason at once; the rest is folded away.
SHOWN = 3


@dataclass(frozen=True)
class Way:
    """What would undo the conflict, as it was tried. `number`: its place in the run's result, where it can be
    done at once; `places`: else where; `cost`: what the plan comes to that it makes possible."""

    sentence: str
    is_enough: bool
    cost: str = ""
    number: int | None = None
    places: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Because:
    """One sentence, the places where what it says can be changed (words and address), and the ways out."""

    sentence: str
    places: tuple[tuple[str, str], ...]
    ways: tuple[Way, ...] = ()

    @property
    def leads_there(self) -> bool:
        """Whether one of the ways leads where the reason itself can be changed."""
        return any(way.places for way in self.ways)

    @property
    def first_ways(self) -> tuple[Way, ...]:
        return self.ways[:SHOWN]

    @property
    def more_ways(self) -> tuple[Way, ...]:
        return self.ways[SHOWN:]


def because(run: PlanRun, result: dict[str, Any], lessons: Sequence[LessonSession]) -> tuple[Because, ...]:
    """The conflict of a run's result. `lessons`: those the run knew, in order. No query."""
    shown = _Shown(run, result, lessons)
    to_come = len(lessons) - result["first_to_come"]
    return tuple(
        Because(
            thought.sentence,
            tuple(shown.places(thought.kind, thought.keys, thought.lessons)),
            shown.ways(thought),
        )
        for thought in thoughts(shown.demands, to_come=to_come)
    )


class _Shown:
    """A result beside the lessons it speaks of."""

    def __init__(self, run: PlanRun, result: dict[str, Any], lessons: Sequence[LessonSession]) -> None:
        self.run, self.result, self.lessons = run, result, lessons
        self.figures: dict[str, int] = {}
        for row in result["reasons"]:
            self.figures.update(zip(row["keys"], row["figures"], strict=False))
        self.demands = [self._demand(row) for row in result["reasons"]]

    def _demand(self, row: dict[str, Any]) -> Demand:
        return Demand(
            row["kind"],
            tuple(row["keys"]),
            tuple(row["lessons"]),
            row["sentence"],
            row["limit"],
            self._why(row) if row["kind"] == "most" else "",
        )

    def _why(self, row: dict[str, Any]) -> str:
        """Why a lesson takes nothing new."""
        if row["limit"]:
            return ""
        lesson = self.lessons[row["lessons"][0]]
        if lesson.kind in NOTHING_NEW:
            return f"it is a {lesson.get_kind_display()}"
        return "it is the last, and the course keeps that free of new figures"

    def ways(self, thought: Thought) -> tuple[Way, ...]:
        """Those that give way in one of the thought's demands; the cheapest first, as they were told."""
        own = {id(demand) for demand in thought.of}
        return tuple(
            self._way(number, way)
            for number, way in enumerate(self.result.get("ways", ()))
            if id(self.demands[way["reason"]]) in own
        )

    def _way(self, number: int, way: dict[str, Any]) -> Way:
        kind, is_enough = way["kind"], way["aims"] is not None
        if not is_enough:
            return Way(way["sentence"], False)
        cost = comes_to(tuple(aim) for aim in way["aims"])
        if kind in ON_THE_DRAFT and self.run.plan.status == PlanStatus.DRAFT:
            return Way(way["sentence"], True, cost, number)
        places = self.places(kind, way["keys"], way["lessons"])
        return Way(way["sentence"], True, cost, places=tuple(places))

    def places(self, kind: str, keys: Sequence[str], lessons: Sequence[int]) -> Iterable[tuple[str, str]]:
        """Where what a demand says is set: words and address."""
        plan = self.run.plan
        known = [(key, self.figures[key]) for key in keys if key in self.figures]
        if kind == "most":
            page = reverse("lessons:course-edit", args=[plan.course_id])
            # What a revision or the last lesson takes is set elsewhere on the page than what any lesson does.
            is_last = list(lessons) == [len(self.lessons) - 1]
            return [("the course’s limits", f"{page}#id_{'new_in_last_lesson' if is_last else 'most_new'}")]
        if kind in {"room", "least_minutes"}:
            return [
                (f"lesson {at + 1}", reverse("lessons:lesson", args=[self.lessons[at].pk])) for at in lessons
            ]
        if kind == "history" and self.result["first_to_come"]:
            last = self.result["first_to_come"] - 1
            return [(f"record of lesson {last + 1}", reverse("lessons:record", args=[self.lessons[last].pk]))]
        if kind in {"need", "after"}:
            return [
                (f"what {key} needs, in every course", reverse("curriculum:figure", args=[figure]))
                for key, figure in known[:-1] or known
            ]
        if kind in ON_THE_CARD:
            return [
                (f"{key} in this draft", reverse("lessons:plan-figure", args=[plan.pk, figure]))
                for key, figure in known
            ]
        return []
