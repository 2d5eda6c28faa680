"""Tonight: the lesson's run-sheet, its people, its room."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from lessons.access import get_lesson_for, may_record
from lessons.beside_sheet import beside_sheet
from lessons.cast import Cast, cast_of, people_in
from lessons.hall import room_asks
from lessons.models import CoverLink, LessonRecord, LessonSession
from lessons.ruler import ruled
from lessons.rules.room import RoomRule
from lessons.runsheet import run_sheet
from school.clock import now, today


@require_safe
def lesson(request: HttpRequest, pk: int) -> HttpResponse:
    """The run-sheet, phone first and one page of paper."""
    lesson = get_lesson_for(request.user, pk)
    sheet = run_sheet(lesson)
    cast = cast_of(lesson)
    own = may_record(request.user, lesson)
    context = {
        "lesson": lesson,
        "sheet": sheet,
        "rows": ruled(sheet.rows),
        "beside": beside_sheet(lesson, sheet, cast),
        "cast": cast,
        "room_rules": rules_of_room(lesson, cast),
        "may_record": own,
        "cover_links": open_links(lesson) if own else (),
        "record": record_of(lesson),
        "is_to_come": lesson.date > today(),
    }
    return render(request, "lessons/lesson.html", context)


def record_of(lesson: LessonSession) -> LessonRecord | None:
    """What was written up, with its figures and who was there. Up to three queries."""
    records = LessonRecord.objects.select_related("recorded_by")
    return records.prefetch_related("figures__figure", "attendance").filter(lesson=lesson).first()


def open_links(lesson: LessonSession) -> tuple[CoverLink, ...]:
    """Links by which somebody may take the lesson over. One query."""
    return tuple(lesson.cover_links.live(now()).select_related("made_by"))


def rules_of_room(lesson: LessonSession, cast: Cast) -> tuple[RoomRule, ...]:
    return room_asks(lesson, people=people_in(cast))
