"""A run that found no plan, on its page: each reason with a link to the place where it is set."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from lessons.models import LessonSession, PlanRun
from lessons.problems.course import NOTHING_NEW
from lessons.rules.conflict_words import Demand, Thought, thoughts

ON_THE_CARD = frozenset({"required", "pinned", "earliest", "latest", "barred", "together", "apart"})


@dataclass(frozen=True)
class Because:
    """One sentence, and the places where what it says can be changed: words and address."""

    sentence: str
    places: tuple[tuple[str, str], ...]


def because(run: PlanRun, result: dict[str, Any], lessons: Sequence[LessonSession]) -> tuple[Because, ...]:
    """The conflict of a run's result. `lessons`: those the run knew, in order. No query."""
    figures: dict[str, int] = {}
    demands = []
    for row in result["reasons"]:
        figures.update(zip(row["keys"], row["figures"], strict=False))
        demands.append(
            Demand(
                row["kind"],
                tuple(row["keys"]),
                tuple(row["lessons"]),
                row["sentence"],
                row["limit"],
                _why(row, lessons) if row["kind"] == "most" else "",
            )
        )
    to_come = len(lessons) - result["first_to_come"]
    return tuple(
        Because(thought.sentence, tuple(_places(run, thought, figures, lessons)))
        for thought in thoughts(demands, to_come=to_come)
    )


def _why(row: dict[str, Any], lessons: Sequence[LessonSession]) -> str:
    """Why a lesson takes nothing new."""
    if row["limit"]:
        return ""
    lesson = lessons[row["lessons"][0]]
    if lesson.kind in NOTHING_NEW:
        return f"it is a {lesson.get_kind_display()}"
    return "it is the last, and the course keeps that free of new figures"


def _places(
    run: PlanRun, thought: Thought, figures: dict[str, int], lessons: Sequence[LessonSession]
) -> list[tuple[str, str]]:
    plan = run.plan
    if thought.kind == "most":
        page = reverse("lessons:course-edit", args=[plan.course_id])
        return [("the course’s limits", f"{page}#id_most_new")]
    if thought.kind in {"room", "least_minutes"}:
        return [
            (f"lesson {index + 1}", reverse("lessons:lesson", args=[lessons[index].pk]))
            for index in thought.lessons
        ]
    known = [(key, figures[key]) for key in thought.keys if key in figures]
    if thought.kind in {"need", "after"}:
        return [(key, reverse("curriculum:figure", args=[figure])) for key, figure in known[:-1] or known]
    if thought.kind in ON_THE_CARD:
        return [(key, reverse("lessons:plan-figure", args=[plan.pk, figure])) for key, figure in known]
    return []
