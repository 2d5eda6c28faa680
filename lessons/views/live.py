"""The evening while it is taught: one segment in large type, read at arm's length."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from lessons.access import get_lesson_for, may_record
from lessons.evening.live import live_plan
from lessons.evening.tonight import has_record
from lessons.run_sheet.fitted import run_sheet
from school.kept_pages import kept_page


@require_safe
@kept_page
def live(request: HttpRequest, pk: int) -> HttpResponse:
    """Without scripts a list of segments with their times."""
    lesson = get_lesson_for(request.user, pk)
    sheet = run_sheet(lesson)
    context = {
        "lesson": lesson,
        "is_recorded": has_record(lesson),
        "sheet": sheet,
        "plan": live_plan(sheet),
        "may_record": may_record(request.user, lesson),
    }
    return render(request, "lessons/live.html", context)
