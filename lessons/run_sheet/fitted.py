"""Tonight's run-sheet: what the lesson holds, fitted to the minute, with what to say in each segment."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping

from django.db.models import Q

from curriculum.models import Figure
from curriculum.strip import routine_strip
from lessons.evening.tonight import AGAIN, CARRY, NEW, LastTime, Planned, Tonight, tonight_of
from lessons.models import Course, CourseKind, LessonSession, Outcome, RecordedFigure
from lessons.planners.tonight import Segment, TimedSegment
from lessons.problems.room import shape_of
from lessons.problems.wording import spoken_day, spoken_list
from lessons.rules.segments import USUAL_SHAPE, Evening, Item, ShapeRow, Sheet, sheet_of
from lessons.rules.sheet_changes import OWN
from lessons.run_sheet.changed import changes_of
from lessons.run_sheet.kept import sheet_as_kept
from lessons.run_sheet.leave_out import NextTimes, leave_out_said, next_times, with_next_times
from lessons.run_sheet.rows import Reach, RunSheet, SheetRow

# Usual cautions, in our own words; common practice, no source.
WARM_UP_SAID = (
    "Start small and get larger: feet and ankles, knees, hips, shoulders. No jumps, no forced range.",
    "Ask who is sore or new tonight; anybody may sit something out without saying why.",
)


def run_sheet(lesson: LessonSession) -> RunSheet:
    """The lesson's sheet. At most 22 queries, whatever the size of course, plan or records; 20 more where
    the evening holds too much.

    A cancelled lesson holds nothing; one without a published plan has everything but figures; one that is
    written up has what it had then.
    """
    tonight = tonight_of(lesson)
    if tonight.kept is not None:
        return sheet_as_kept(tonight, tonight.kept)
    reach = reach_of(lesson.course, on=lesson.date, known=tonight.known)
    if lesson.is_cancelled:
        return RunSheet(tonight, (), reach)
    evening, changes, times = evening_of(tonight, reach), changes_of(lesson), NextTimes()
    sheet = sheet_of(evening, changes.segments)
    if sheet.left_out:
        times = next_times(lesson, tonight.planned)
        sheet = sheet_of(with_next_times(evening, times), changes.segments)
    return RunSheet(
        tonight=tonight,
        rows=tuple(_row(timed, tonight, reach, changes.music) for timed in sheet.segments),
        reach=reach,
        too_short=_too_short(sheet, evening, times),
        too_long=too_long_said(sheet),
        left_out=sheet.left_out,
        notes=tuple(_notes(tonight)),
        change=changes.change,
    )


def reach_of(course: Course, *, on: dt.date, known: frozenset[int]) -> Reach | None:
    """How far the course's routine is danceable with what it knows and what was recorded up to `on`; None
    without a routine. Three queries."""
    if course.routine is None:
        return None
    recorded = RecordedFigure.objects.filter(
        outcome=Outcome.INTRODUCED, record__lesson__course=course, record__lesson__date__lte=on
    )
    figures = Figure.objects.filter(Q(pk__in=known) | Q(pk__in=recorded.values("figure")))
    names = figures.order_by().values_list("name", flat=True)
    return Reach(routine_strip(course.routine, taught=frozenset(names)))


def evening_of(tonight: Tonight, reach: Reach | None) -> Evening:
    """What is to be fitted into the lesson. Two queries."""
    danced = reach.figures if reach else frozenset()
    in_routine = reach.in_routine if reach else frozenset()
    again = tonight.of(AGAIN)
    drop_in = tonight.lesson.course.kind == CourseKind.DROP_IN
    return Evening(
        minutes=tonight.lesson.minutes,
        shape=_shape(tonight.lesson),
        # An evening that stands alone presupposes nothing of last week.
        recap=tonight.last is not None and not drop_in,
        routine=bool(danced),
        # What stands in the routine comes again by dancing it: the plan sets one minute aside for it.
        again=tuple(
            Item(item.key, item.minutes, kept=1 if item.key in in_routine else None)
            for item in again
            if item.key not in danced
        ),
        carry=tuple(_item(item) for item in tonight.of(CARRY)),
        new=tuple(_item(item) for item in tonight.of(NEW)),
        danced=tuple(item.key for item in again if item.key in danced),
    )


def _item(item: Planned) -> Item:
    return Item(item.key, item.minutes, item.part, item.parts)


def _shape(lesson: LessonSession) -> tuple[ShapeRow, ...]:
    shape = shape_of(lesson)
    if shape is None:
        return USUAL_SHAPE
    rows = shape.segments.all()
    return tuple(ShapeRow(row.kind, row.least, row.ideal, row.most, row.give_way) for row in rows)


def _row(
    timed: TimedSegment, tonight: Tonight, reach: Reach | None, music: Mapping[tuple[str, str], str]
) -> SheetRow:
    begin = dt.datetime.combine(tonight.lesson.date, tonight.lesson.start) + dt.timedelta(minutes=timed.start)
    segment = timed.segment
    here = (item for item in tonight.of(segment.kind) if item.key == segment.figure)
    return SheetRow(
        starts=begin.time(),
        ends=(begin + dt.timedelta(minutes=timed.minutes)).time(),
        offset=timed.start,
        minutes=timed.minutes,
        segment=segment,
        planned=next(here, None),
        says=tuple(_says(segment, tonight, reach)),
        note=tonight.last.note if segment.kind == "recap" and tonight.last else "",
        music=music.get((segment.kind, segment.figure or (segment.title if segment.kind == OWN else "")), ""),
    )


def _says(segment: Segment, tonight: Tonight, reach: Reach | None) -> Iterable[str]:
    if segment.kind == "warm_up":
        yield from WARM_UP_SAID
    elif segment.kind == "recap" and tonight.last:
        yield from last_time_said(tonight.last)
    elif segment.kind == "routine" and reach:
        yield reach.sentence
        danced = [item.key for item in tonight.of(AGAIN) if item.key in reach.figures]
        if danced:
            yield f"Comes again by dancing it: {spoken_list(danced)}."


def last_time_said(last: LastTime) -> Iterable[str]:
    """What the record of the last lesson says, a line for each thing that happened."""
    for words, outcomes in (
        ("New was", [Outcome.INTRODUCED]),
        ("Not finished:", [Outcome.FINISH_LATER]),
        ("Danced again:", [Outcome.REVIEWED]),
        ("Not reached:", [Outcome.NOT_REACHED]),
    ):
        rows = last.with_outcome(*outcomes)
        if rows:
            yield f"{words} {spoken_list([_with_how_it_went(row) for row in rows])}."


def _with_how_it_went(row: RecordedFigure) -> str:
    return f"{row.figure.name} ({row.get_went_display()})" if row.went else row.figure.name


def _too_short(sheet: Sheet, evening: Evening, times: NextTimes) -> str:
    if sheet.left_out:
        minutes = "1 minute" if sheet.missing == 1 else f"{sheet.missing} minutes"
        said = (
            f"The lesson is {minutes} too short for all of this, even with everything at its shortest. "
            f"{leave_out_said(sheet.left_out, times)} The sheet below fits without."
        )
        if evening.danced and any(segment.kind == "routine" for segment in sheet.left_out):
            said += (
                f" What was to come again by dancing the routine falls out: {spoken_list(evening.danced)}."
            )
        return said
    if sheet.squeezed:
        return "The lesson is shorter than the plan reckons: figures get less than their minutes."
    return ""


def too_long_said(sheet: Sheet) -> str:
    """What became of minutes that nothing would have taken; nothing where there were none."""
    if not sheet.spare:
        return ""
    minutes = "1 minute is" if sheet.spare == 1 else f"{sheet.spare} minutes are"
    return f"{minutes} left over with everything at its longest. Practice to music takes the time."


def _notes(tonight: Tonight) -> Iterable[str]:
    if tonight.plan is None:
        yield "This course has no published plan, so the sheet names no figures."
    for item in tonight.brought_forward:
        day = spoken_day(tonight.taught[item.figure.pk])
        yield f"{item.key} is planned as new, but was taught on {day} already. It is left out."
    for item in tonight.of(AGAIN):
        taught = item.figure.pk in tonight.known or item.figure.pk in tonight.taught
        if taught or item.new_before:
            continue
        if item.unwritten:
            day = spoken_day(item.unwritten)
            yield f"{item.key} was planned as new on {day}, not written up yet; it comes again here."
        else:
            yield f"{item.key} is planned again, but no record says it was taught."
    if tonight.is_last and not tonight.of(NEW):
        yield "The last lesson of the term: nothing new, dance through what you know."
