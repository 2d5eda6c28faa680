"""What stands beside the run-sheet: newcomers to be met before, who of several instructors does what, and at
a drop-in evening the easier form and the extension of each figure side by side."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from curriculum.models import Figure
from lessons.evening.cast import Cast
from lessons.evening.newcomers import Newcomers, newcomers_of, ten_minutes_before
from lessons.models import CourseKind, LessonSession, TeachingPair
from lessons.problems.wording import spoken_list
from lessons.run_sheet.fitted import RunSheet
from school.models import Person


@dataclass(frozen=True)
class SideBySide:
    """A figure of tonight with what to offer beside it, for whom it is too much or too little."""

    figure: Figure
    easier: Figure | None
    extension: Figure | None


@dataclass(frozen=True)
class BesideSheet:
    """before: when to meet the newcomers. pair: who does what, or what is to be settled."""

    newcomers: tuple[Newcomers, ...]
    before: dt.time
    pair: str
    side_by_side: tuple[SideBySide, ...]


def beside_sheet(lesson: LessonSession, sheet: RunSheet, cast: Cast) -> BesideSheet:
    """At most five queries; none where there is one instructor, nobody new and a fixed group."""
    drop_in = lesson.course.kind == CourseKind.DROP_IN
    return BesideSheet(
        newcomers=() if drop_in else newcomers_of(lesson, cast, sheet.tonight.taught),
        before=ten_minutes_before(lesson),
        pair=pair_said(lesson, cast.instructors),
        side_by_side=_side_by_side(sheet) if drop_in else (),
    )


def pair_said(lesson: LessonSession, instructors: Sequence[Person]) -> str:
    """ "Jory shows. Tamsin leads, Jory follows.", or that it is not settled; nothing for one. One query."""
    if len(instructors) < 2:
        return ""
    by_key = {person.pk: person for person in instructors}
    pair = TeachingPair.objects.filter(lesson=lesson).first()
    if pair is None or not {pair.shows_id, pair.leads_id} <= by_key.keys():
        names = spoken_list([person.first_name for person in instructors])
        return f"{names} teach together. Settle who shows and who leads."
    others = [person.first_name for person in instructors if person.pk != pair.leads_id]
    follow = "follows" if len(others) == 1 else "follow"
    shows, leads = by_key[pair.shows_id].first_name, by_key[pair.leads_id].first_name
    return f"{shows} shows. {leads} leads, {spoken_list(others)} {follow}."


def _side_by_side(sheet: RunSheet) -> tuple[SideBySide, ...]:
    """Tonight's figures that have an easier form or an extension, in the order of the evening."""
    order = [item.figure.pk for item in sheet.figures]
    rows = Figure.objects.filter(pk__in=order).select_related("easier_form", "extension")
    found = {row.pk: SideBySide(row, row.easier_form, row.extension) for row in rows}
    return tuple(found[pk] for pk in order if found[pk].easier or found[pk].extension)
