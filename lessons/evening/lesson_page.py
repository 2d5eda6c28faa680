"""All that the page of one evening shows."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from lessons.access import may_record
from lessons.evening.cast import Cast, cast_of, people_in
from lessons.evening.cover_page import CoverChart, charts_of
from lessons.evening.headline import headline
from lessons.evening.plan_says import plan_after, plan_says
from lessons.evening.tonight import CARRY, NEW, Planned
from lessons.models import CoverLink, LessonSession
from lessons.people.helpers import HelpersOf, calls_for, helpers_of
from lessons.people.showcase import PhotographsThere, photographs_there
from lessons.records.written_up import written_up
from lessons.rules.teaching_order import OrderStep
from lessons.run_sheet.beside import beside_sheet
from lessons.run_sheet.fitted import run_sheet
from lessons.run_sheet.paper import SMALLEST, Beside, Paper, paper_of
from lessons.run_sheet.rows import RunSheet
from lessons.run_sheet.ruler import ruled
from lessons.run_sheet.teaching import music_of, orders_of, tempo_range
from lessons.students.catch_up_page import visitors_of, with_visitors
from lessons.timetable.hall import room_asks
from school.clock import now, today
from school.models import Person, School

# Letters in a line of a teaching order on paper; a type that is easily read there, in points.
_ORDER_LETTERS, _LARGE_ENOUGH = 42, 10
# As the page says it; here only for its length on paper.
NOT_WRITTEN_UP = (
    "Not written up yet: Until it is, sheet and plan reckon that it went as planned; "
    "students read nothing of it as taught."
)
OPTIONAL = "Arms and turns are always optional. Local rules and a doctor’s word come first."


def lesson_page(lesson: LessonSession, *, reader: Person, school: School | None) -> dict[str, Any]:
    """As many queries for a small evening as for a large one."""
    sheet, cast = run_sheet(lesson), cast_of(lesson)
    own = may_record(reader, lesson)
    done = written_up(lesson, cast) if sheet.tonight.is_recorded else None
    minutes = {(row.kind, row.figure.pk): row.minutes for row in sheet.rows if row.figure}
    steps = steps_of(sheet) if done is None else {}
    tempo = tempo_range(lesson.course.dance) if done is None else None
    visitors = visitors_of(lesson)
    expected = with_visitors(cast, lesson, visitors)
    helpers = helpers_of(lesson, expected.enrolments, expected.instructors) if done is None else None
    called = helpers.called if helpers else calls_for(lesson)
    page = {
        "lesson": lesson,
        "sheet": sheet,
        "rows": ruled(sheet.rows),
        "head": headline(_with_a_place(sheet), minutes),
        "steps": steps,
        "orders": orders_of(sheet, steps, tempo) if done is None else {},
        "music": music_of(tempo),
        "plan_says": plan_says(sheet.tonight) if done is None else None,
        "plan_after": plan_after(lesson) if done else None,
        "beside": beside_sheet(lesson, sheet, cast),
        "cast": done.cast if done else expected,
        "practice_minutes": next((row.minutes for row in sheet.rows if row.kind == "practice"), None),
        "room_rules": room_asks(lesson, people=people_in(expected, called)),
        "may_record": own,
        "cover_links": open_links(lesson) if own else (),
        "visitors": visitors,
        "photographs": photographs_there(lesson, expected),
        "helpers": helpers,
        "written": done,
        "record": done.record if done else None,
        "is_to_come": lesson.date > today(),
    }
    return page | {"paper": _paper(page, school.first_aid if school else "")}


def _with_a_place(sheet: RunSheet) -> list[Planned]:
    """Tonight's figures without those for which there is no time; what is danced in the routine has its place
    there."""
    gone = {(segment.kind, segment.figure) for segment in sheet.left_out}
    return [item for item in sheet.figures if (item.how, item.key) not in gone]


def steps_of(sheet: RunSheet) -> dict[int, CoverChart]:
    """Figure (pk) -> the first chart of what is new or to be finished tonight. Two queries, or none."""
    figures = [item.figure for item in sheet.figures if item.how in (NEW, CARRY)]
    if not figures:
        return {}
    charts = charts_of(sheet.tonight.lesson, figures)
    return {chart.figure.pk: chart for chart in charts if chart.is_first}


def open_links(lesson: LessonSession) -> tuple[CoverLink, ...]:
    """Links by which somebody may take the lesson over. One query."""
    return tuple(lesson.cover_links.live(now()).select_related("made_by"))


def _paper(page: dict[str, Any], first_aid: str) -> Paper:
    """How the page is printed, from all that stands on it."""
    sheet, cast, before, says = page["sheet"], page["cast"], page["beside"], page["plan_says"]
    unrecorded = " ".join(str(earlier.date) for earlier in sheet.tonight.unrecorded)
    around = [
        *(says.sentences if says else ()),
        *sheet.notes,
        sheet.too_short,
        sheet.too_long,
        *(group.sentence for group in before.newcomers),
        before.pair,
        f"{NOT_WRITTEN_UP} {unrecorded}" if unrecorded else "",
        "Changed from the plan by somebody." if sheet.change else "",
    ]
    head = [*(f"{part.how} {part.said}" for part in page["head"]), "10 leaders 10 followers"]
    under = Beside(
        people=[", ".join(names) for names in _people(cast, page["helpers"], page["photographs"])],
        room=[*(rule.sentence for rule in page["room_rules"]), page["lesson"].room.note],
        care=_care(sheet),
        first_aid=first_aid,
    )

    music = [f"Music {page['music'][row.kind]}" for row in sheet.rows if row.kind in page["music"]]

    def tried(inside: Sequence[str]) -> Paper:
        steps = list(page["steps"].values())
        return paper_of(
            sheet.rows, head=" ".join(head), around=around, beside=under, steps=steps, inside=inside
        )

    orders = _orders_said(page["orders"].values())
    richest_first = [
        replace(tried([*more, *tempi]), orders=bool(more), music=bool(tempi))
        for more in ([orders] if orders else []) + [[]]
        for tempi in (music, [])
    ]
    with_steps = (paper for paper in richest_first if paper.steps and paper.size > SMALLEST)
    readable = (paper for paper in richest_first if paper.size >= _LARGE_ENOUGH)
    return next(with_steps, None) or next(readable, richest_first[-1])


def _orders_said(orders: Iterable[Sequence[OrderStep]]) -> list[str]:
    """As many lines as the orders take on paper, where they stand in two columns of small type."""
    lines = sum(
        math.ceil(len(f"{step.title} {' '.join(() if step.key == 'lead' else step.says)}") / _ORDER_LETTERS)
        for order in orders
        for step in order
    )
    return ["-"] * (math.ceil(lines / 2) + 1) if lines else []


def _people(
    cast: Cast, helpers: HelpersOf | None, photographs: PhotographsThere | None
) -> Iterable[list[str]]:
    """What is written before the names takes room as well."""
    if photographs:
        yield ["None of", *photographs.no]
        yield ["Not asked this term. Until they say yes, none of them either.", *photographs.ask]
    if helpers and helpers.called:
        yield ["Called", *(f"{call.person.first_name} as follower" for call in helpers.called)]
    for rows in (cast.leaders, cast.followers):
        yield ["10 followers", *(row.person.first_name for row in rows)]
    yield ["In front", *(person.first_name for person in cast.instructors)]


def _care(sheet: RunSheet) -> list[str]:
    if not sheet.cautioned:
        return []
    said = [
        f"{figure.name} {caution.text}"
        for figure in sheet.cautioned_beside
        for caution in figure.cautions.all()
    ]
    return [*said, OPTIONAL]
