"""Two plans of a course side by side: who moves where, what each asks, how full each makes the evenings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from lessons.actions.earlier_plans import AS_PUBLISHED
from lessons.actions.steps import read_draft
from lessons.board.aims import aims_of
from lessons.board.page import plan_faults
from lessons.board.values import Gauge
from lessons.models import LessonSession, PlanStatus, TermPlan
from lessons.planners.term_values import Finding
from lessons.problems import CourseProblem, course_problems, placements
from lessons.problems.loads import loads
from lessons.rules.cost_words import Cost, every_aim
from lessons.rules.draft_words import Called, asked


@dataclass(frozen=True)
class Side:
    """A figure on one side: its lesson (number and row, None for in no lesson) and the lessons (numbers) it
    comes again in; `has`: whether that plan teaches it at all."""

    has: bool
    number: int | None = None
    lesson: LessonSession | None = None
    again: tuple[int, ...] = ()


@dataclass(frozen=True)
class Line:
    """`asked`: what else is asked of it on the right than on the left, in sentences."""

    name: str
    left: Side
    right: Side
    asked: tuple[str, ...] = ()

    @property
    def moves(self) -> bool:
        return (self.left.has, self.left.number) != (self.right.has, self.right.number)

    @property
    def differs(self) -> bool:
        return self.moves or self.left.again != self.right.again or bool(self.asked)


@dataclass(frozen=True)
class Evening:
    number: int
    lesson: LessonSession
    left: Gauge
    right: Gauge


@dataclass(frozen=True)
class Comparison:
    left: TermPlan
    right: TermPlan
    lines: tuple[Line, ...]
    evenings: tuple[Evening, ...]
    aims: tuple[Cost, ...]
    left_faults: tuple[Finding, ...]
    right_faults: tuple[Finding, ...]
    sets: tuple[str, ...]

    @property
    def publishing(self) -> str:
        """What the button says that publishes the right one."""
        name = self.right.title
        if name.startswith(AS_PUBLISHED):
            return f"Publish the plan of {name.removeprefix(AS_PUBLISHED)} again"
        return f"Publish {name}"

    @property
    def differing(self) -> list[Line]:
        """Those that move first."""
        return sorted((line for line in self.lines if line.differs), key=lambda line: not line.moves)

    @property
    def same(self) -> list[Line]:
        return [line for line in self.lines if not line.differs]

    @property
    def tallest(self) -> int:
        both = [gauge for one in self.evenings for gauge in (one.left, one.right)]
        return max([1, *(max(gauge.room, gauge.used) for gauge in both)])


def comparison(left: TermPlan, right: TermPlan) -> Comparison:
    """Both are plans of one course. The number of queries depends on no table's size."""
    one, other = course_problems([left, right])
    sides = [_sides(one), _sides(other)]
    names = list({**one.plan_figures, **other.plan_figures})
    demands, sets = _asked(left, right, one, other)
    nowhere = Side(False)
    return Comparison(
        left,
        right,
        tuple(
            Line(name, sides[0].get(name, nowhere), sides[1].get(name, nowhere), demands.get(name, ()))
            for name in names
        ),
        _evenings(one, other),
        every_aim(aims_of(one), aims_of(other)),
        plan_faults(one),
        plan_faults(other),
        sets,
    )


def others_of(plan: TermPlan) -> dict[str, Any]:
    """The plans it can be laid beside: the course's others, the published one first. One query."""
    others = plan.course.plans.exclude(pk=plan.pk).select_related("published_by", "created_by")
    order = [PlanStatus.PUBLISHED, PlanStatus.DRAFT, PlanStatus.RETIRED]
    return {
        "plan": plan,
        "others": sorted(
            others.order_by("-created_at", "-pk"), key=lambda other: order.index(PlanStatus(other.status))
        ),
    }


def _sides(problem: CourseProblem) -> dict[str, Side]:
    introductions, reviews = placements(problem)
    again: dict[str, list[int]] = {}
    for review in reviews:
        again.setdefault(review.key, []).append(review.index + 1)
    return {
        name: Side(
            True,
            None if (at := introductions.get(name)) is None else at + 1,
            None if at is None else problem.lessons[at],
            tuple(sorted(again.get(name, ()))),
        )
        for name in problem.plan_figures
    }


def _evenings(one: CourseProblem, other: CourseProblem) -> tuple[Evening, ...]:
    """The lessons to come."""
    both = []
    for problem in (one, other):
        introductions, reviews = placements(problem)
        found = loads(problem, introductions, [(review.key, review.index) for review in reviews])
        both.append([Gauge(load.new, load.again, load.room) for load in found])
    return tuple(
        Evening(index + 1, one.lessons[index], both[0][index], both[1][index])
        for index in range(one.first_to_come, len(one.lessons))
    )


def _asked(
    left: TermPlan, right: TermPlan, one: CourseProblem, other: CourseProblem
) -> tuple[dict[str, tuple[str, ...]], tuple[str, ...]]:
    """Figure -> what is asked of it otherwise on the right; and which sets differ."""
    rows = {**one.plan_figures, **other.plan_figures}
    called = Called(
        {row.figure_id: name for name, row in rows.items()},
        {lesson.pk: number for number, lesson in enumerate(one.lessons, start=1)},
    )
    by_figure, sets = asked(read_draft(left), read_draft(right), called)
    return {called.figures[key]: tuple(said) for key, said in by_figure.items() if said}, tuple(sets)
