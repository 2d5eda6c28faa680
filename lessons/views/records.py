"""What we did: the record of a lesson, written by its director or by those who gave it."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from lessons.access import get_own_lesson_for
from lessons.actions.errors import Overtaken
from lessons.record_sheet import RecordSheet
from school.clock import today

FORM = ("GET", "HEAD", "POST")


@require_http_methods(FORM)
def record(request: HttpRequest, pk: int) -> HttpResponse:
    """As planned unless something is changed; a second writer is shown both and loses nothing."""
    lesson = get_own_lesson_for(request.user, pk)
    sheet = RecordSheet(lesson, request.POST if request.method == "POST" else None)
    if request.method == "POST" and "add" not in request.POST and sheet.is_valid():
        try:
            sheet.save(by=request.user)
        except Overtaken as overtaken:
            sheet = sheet.show_both(overtaken.sentence)
        except ValidationError as error:
            sheet.refuse(error)
        else:
            messages.success(request, "Recorded. Students see it from now on, and the plan goes on from it.")
            return redirect("lessons:lesson", lesson.pk)
    can_record = not lesson.is_cancelled and lesson.date <= today()
    context = {"lesson": lesson, "sheet": sheet, "can_record": can_record}
    return render(request, "lessons/record.html", context)
