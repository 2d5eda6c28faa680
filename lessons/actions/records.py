"""Writing what a lesson really did. Taught means recorded."""

from __future__ import annotations

import uuid
from collections.abc import Mapping

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone

from curriculum.models import Figure
from lessons.actions.again import plan_rest_again
from lessons.actions.errors import Overtaken
from lessons.models import (
    Attendance,
    LessonRecord,
    LessonSession,
    Outcome,
    RecordedFigure,
    RecordSubmission,
)
from lessons.problems import spoken_day
from lessons.records.past import keep_as_it_stands
from lessons.run_sheet.fitted import run_sheet
from lessons.run_sheet.kept import keep_sheet
from school import clock
from school.models import Person

NOT_BEGUN = "not begun"
# (outcome, how it went or "", minutes still needed or None)
WhatHappened = tuple[str, str, int | None]


def write_record(
    *,
    lesson: LessonSession,
    version: int | None,
    outcomes: Mapping[Figure, WhatHappened],
    present: Mapping[Person, str],
    unnamed_guests: int = 0,
    note: str = "",
    by: Person,
    submission: uuid.UUID | None = None,
    early: bool = False,
) -> LessonRecord:
    """Write the lesson's record whole; what it said before is kept as an earlier version, and with the first
    one the run-sheet as it stands.

    `version`: of the record the writer was looking at, None for a first one. `outcomes`: figure ->
    (outcome, how it went, minutes still needed); `present`: person -> role on the floor, "L", "F" or "".
    Raises Overtaken where somebody wrote in between; ValidationError for a lesson that was cancelled or is
    yet to come. `early`: the writer's word that it has taken place, though its hour has not come: then it may
    be written from the morning of the day on. `submission`: made by the device that sends; one that was
    written already changes nothing, whatever came after it.
    """
    # A record that is corrected has said already that the lesson took place.
    _refuse_wrong_lesson(lesson, early or version is not None)
    _refuse_wrong_outcomes(lesson, outcomes)
    planned = run_sheet(lesson) if version is None else None
    try:
        with transaction.atomic():
            if submission and was_sent(submission, lesson):
                return LessonRecord.objects.get(lesson=lesson)
            if submission:
                RecordSubmission.objects.create(uuid=submission, lesson=lesson, by=by)
            record = _take_record(lesson, version, by, note, unnamed_guests)
            if planned is not None:
                keep_sheet(record, planned)
            record.figures.all().delete()
            record.attendance.all().delete()
            RecordedFigure.objects.bulk_create(
                RecordedFigure(record=record, figure=figure, outcome=outcome, went=went, minutes_owed=owed)
                for figure, (outcome, went, owed) in outcomes.items()
            )
            Attendance.objects.bulk_create(
                Attendance(record=record, person=person, role=role) for person, role in present.items()
            )
    except IntegrityError:
        # The same sending, a moment earlier and on another connection: it is written, and that is all.
        if submission and was_sent(submission, lesson):
            return LessonRecord.objects.get(lesson=lesson)
        raise Overtaken(_SOMEBODY_RECORDED) from None
    occasion = f"The lesson of {spoken_day(lesson.date)} is written up."
    plan_rest_again(courses=[lesson.course_id], by=by, occasion=occasion)
    return record


_SOMEBODY_RECORDED = (
    "Somebody recorded this lesson while you had the page open. Your record was not saved: "
    "look at theirs, then add what is missing."
)


def was_sent(submission: uuid.UUID, lesson: LessonSession) -> bool:
    """Whether this very sending is in. Raises ValidationError where it belongs to another lesson."""
    known = RecordSubmission.objects.filter(uuid=submission).first()
    if known and known.lesson_id != lesson.pk:
        raise ValidationError("This was sent for another lesson. Open the form again and record it there.")
    return known is not None


def _take_record(
    lesson: LessonSession, version: int | None, by: Person, note: str, unnamed_guests: int
) -> LessonRecord:
    """The record's row in its next version, ours alone until the transaction ends."""
    if version is None:
        if LessonRecord.objects.filter(lesson=lesson).exists():
            raise Overtaken(_SOMEBODY_RECORDED)
        return LessonRecord.objects.create(
            lesson=lesson, note=note, unnamed_guests=unnamed_guests, recorded_by=by
        )
    ours = LessonRecord.objects.filter(lesson=lesson, version=version)
    before = ours.select_for_update().first()
    if before is None:
        raise Overtaken(_SOMEBODY_RECORDED)
    keep_as_it_stands(before)
    ours.update(
        version=F("version") + 1,
        note=note,
        unnamed_guests=unnamed_guests,
        recorded_by=by,
        recorded_at=timezone.now(),
    )
    return LessonRecord.objects.get(lesson=lesson)


def _refuse_wrong_lesson(lesson: LessonSession, early: bool) -> None:
    if lesson.is_cancelled:
        raise ValidationError("This lesson was cancelled; there is nothing to record.")
    if lesson.date > clock.today():
        raise ValidationError(
            f"This lesson is on {spoken_day(lesson.date)}. Record it once it has been given."
        )
    if not early and clock.now() < lesson.begins:
        raise ValidationError(not_begun(lesson), code=NOT_BEGUN)


def not_begun(lesson: LessonSession) -> str:
    return (
        f"This lesson begins at {lesson.start:%H:%M}. Record it from then on; "
        "if it has taken place already, tick that and record it now."
    )


def _refuse_wrong_outcomes(lesson: LessonSession, outcomes: Mapping[Figure, WhatHappened]) -> None:
    dance = lesson.course.dance_id
    for figure, (outcome, _, owed) in outcomes.items():
        if figure.dance_id != dance:
            raise ValidationError(f"{figure} belongs to another dance than this course.")
        if outcome not in Outcome.values:
            raise ValidationError(f"Say of {figure} whether it was new, to carry over, not reached or again.")
        if owed is None:
            continue
        if outcome != Outcome.FINISH_LATER:
            raise ValidationError(f"{figure}: minutes still needed belong to a figure to finish later.")
        if owed < 1:
            raise ValidationError(f"{figure}: a figure to finish later needs at least 1 more minute.")
