"""A mark is put down, or a step taken back: what it did, what breaks, what it costs, and the way back."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.core.exceptions import ValidationError

from lessons.actions.cards import save_card
from lessons.actions.errors import Overtaken
from lessons.actions.plans import DemandsOnFigure
from lessons.actions.steps import said_since
from lessons.actions.undo import take_back
from lessons.board.aims import aims_of
from lessons.board.build import around_many, board_from
from lessons.board.places import AGAIN
from lessons.board.values import Board, Evening, Row
from lessons.models import LessonSession, PlanFigure, TermPlan
from lessons.problems import CourseProblem, course_problem, problem_again
from lessons.rules.cost_words import Cost, costs
from school.models import Person
from school.refusals import in_words

News = list[tuple[str, list[str]]]


@dataclass
class Touch:
    """What became of a touch of the draft, for the register's answer to it.

    `said`: what was done; `refused`: why nothing was; `news`: who changed what meanwhile; `breaks`, `mends`:
    faults that came and that went. `whole`: the register is to be drawn anew; else `rows` and `evenings` are
    those that look otherwise than before.
    """

    board: Board
    problem: CourseProblem
    said: list[str] = field(default_factory=list)
    refused: str = ""
    news: News = field(default_factory=list)
    breaks: list[str] = field(default_factory=list)
    mends: list[str] = field(default_factory=list)
    costs: tuple[Cost, ...] = ()
    is_undo: bool = False
    whole: bool = True
    rows: tuple[Row, ...] = ()
    evenings: tuple[Evening, ...] = ()


def look(plan: TermPlan, version: int) -> Touch:
    """The draft as it stands, for somebody who saw it at `version`."""
    problem = course_problem(plan)
    return Touch(board_from(problem, plan.course), problem, news=_news(plan, version))


def put_down(*, plan: TermPlan, by: Person, asked: Mapping[str, Any]) -> Touch:
    """Move a mark as `MoveForm` says, and tell what followed. What cannot be is refused in a sentence."""
    problem = course_problem(plan)
    row = _row(problem, asked["figure"])
    if row is None:
        return _refused(plan, asked["version"], "This draft does not teach that figure any more.")
    row.plan = plan
    lessons = {lesson.pk: lesson for lesson in problem.lessons}
    target, origin = lessons.get(asked["target"] or 0), asked["origin"]
    if asked["target"] and target is None:
        return _refused(plan, asked["version"], "That lesson does not take place in this course.")
    is_new = asked["kind"] != AGAIN
    to_come = {lesson.pk for lesson in problem.lessons[problem.first_to_come :]}
    stands = _begins(row, to_come) if is_new else origin if origin in _again(row) else None
    if stands != origin:
        return _refused(plan, asked["version"], f"{row.figure.name} stands elsewhere by now.")
    again = None if is_new else _again_moved(row, lessons, origin, target)

    def write() -> None:
        save_card(
            plan=plan,
            version=asked["version"],
            plan_figure=row,
            by=by,
            demands=_pin_along(row, target) if is_new else None,
            move_to=target if is_new else None,
            is_moved=is_new,
            again_in=again,
            is_untouched=True,
            read=problem,
        )

    return _touched(plan, problem, asked["version"], write)


def put_back(*, plan: TermPlan, by: Person, version: int, step: int) -> Touch:
    """Take a step back, and those after it."""
    problem = course_problem(plan)
    found = plan.steps.filter(pk=step).first()
    if found is None:
        return _refused(plan, version, "This can no longer be taken back.")

    def write() -> None:
        take_back(plan=plan, version=version, step=found, by=by)

    touch = _touched(plan, problem, version, write)
    touch.is_undo = True
    if not touch.refused:
        touch.said = found.said
    return touch


def _touched(plan: TermPlan, problem: CourseProblem, version: int, write: Callable[[], None]) -> Touch:
    """Write, and compare the register before and after."""
    news = _news(plan, version)
    try:
        write()
    except (Overtaken, ValidationError) as refused:
        return _refused(plan, version, in_words(refused))
    return followed(plan, problem, problem_again(problem), news)


def followed(plan: TermPlan, problem: CourseProblem, fresh: CourseProblem, news: News) -> Touch:
    """What the newest step did: the register as it was read in `problem`, and as it is in `fresh`."""
    course = plan.course
    around = around_many([course])[course.pk]
    before, after = board_from(problem, course, around), board_from(fresh, course, around)
    step = plan.steps.filter(version=plan.version).first()
    touch = Touch(after, fresh, said=step.said if step else [], news=news, whole=bool(news))
    was, now = ({fault.sentence for fault in board.findings} for board in (before, after))
    touch.breaks = [fault.sentence for fault in after.findings if fault.sentence not in was]
    touch.mends = [fault.sentence for fault in before.findings if fault.sentence not in now]
    touch.costs = costs(aims_of(problem), aims_of(fresh))
    touch.rows = _changed(before.rows, after.rows)
    touch.evenings = tuple(
        now for was, now in zip(before.evenings, after.evenings, strict=True) if was.face != now.face
    )
    touch.whole = touch.whole or len(before.rows) != len(after.rows)
    return touch


def _refused(plan: TermPlan, version: int, sentence: str) -> Touch:
    plan.refresh_from_db(fields=["version", "status"])
    touch = look(plan, version)
    touch.refused = sentence
    return touch


def _news(plan: TermPlan, version: int) -> News:
    return said_since(plan, version) if plan.version > version else []


def _row(problem: CourseProblem, figure: int) -> PlanFigure | None:
    return next((row for row in problem.plan_figures.values() if row.figure_id == figure), None)


def _begins(row: PlanFigure, to_come: Collection[int]) -> int | None:
    """As the register shows it: what is planned for a lesson that has been, or fell out, stands nowhere."""
    parts = (part for part in row.introductions.all() if part.part == 0)
    return next((part.lesson_id for part in parts if part.lesson_id in to_come), None)


def _again(row: PlanFigure) -> set[int]:
    return {review.lesson_id for review in row.reviews.all()}


def _again_moved(
    row: PlanFigure, lessons: Mapping[int, LessonSession], origin: int, target: LessonSession | None
) -> list[LessonSession]:
    """Where the figure comes again once the one of `origin` (a key) is in `target`."""
    kept = [lessons[key] for key in _again(row) - {origin} if key in lessons]
    return kept if target is None or target in kept else [*kept, target]


def _pin_along(row: PlanFigure, target: LessonSession | None) -> DemandsOnFigure | None:
    """A figure that is kept in its lesson is kept in the new one."""
    return DemandsOnFigure(pinned=target) if row.pinned_id is not None else None


def _changed(before: Iterable[Row], after: Iterable[Row]) -> tuple[Row, ...]:
    faces = {row.plan_figure.pk: row.face for row in before}
    return tuple(row for row in after if faces.get(row.plan_figure.pk) != row.face)
