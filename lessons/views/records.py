"""What we did: the record of a lesson, written by its director or by those who gave it."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from lessons.access import get_own_lesson_for
from lessons.actions.errors import Overtaken
from lessons.device import is_sent_by_device
from lessons.evening.live import in_milliseconds, shift_of_the_device
from lessons.evening.plan_says import plan_after
from lessons.models import LessonSession
from lessons.records.sheet import RecordSheet
from school.clock import today
from school.kept_pages import keep_until, kept_page
from school.methods import require_form


@require_form
@kept_page
def record(request: HttpRequest, pk: int) -> HttpResponse:
    """As planned unless something is changed; a second writer is shown both and loses nothing. A device
    that sends what it has kept is answered in JSON: where it is written, or what somebody has to look at."""
    lesson = get_own_lesson_for(request.user, pk)
    sheet = RecordSheet(lesson, request.POST if request.method == "POST" else None)
    if request.method == "POST" and "add" not in request.POST:
        try:
            if sheet.was_sent() or (sheet.is_valid() and sheet.save(by=request.user)):
                return _recorded(request, lesson)
        except Overtaken as overtaken:
            sheet = sheet.show_both(overtaken.sentence)
        except ValidationError as error:
            sheet.refuse(error)
        if is_sent_by_device(request):
            return _asks(sheet)
    keep_until(request, *([lesson.begins] if sheet.asks_early else []))
    can_record = not lesson.is_cancelled and lesson.date <= today()
    begins = in_milliseconds(lesson) - shift_of_the_device()
    context = {"lesson": lesson, "sheet": sheet, "can_record": can_record, "begins": begins}
    return render(request, "lessons/record.html", context)


def _asks(sheet: RecordSheet) -> JsonResponse:
    """Why the school cannot take it as it is."""
    wrongs = sheet.refusals if sheet.theirs else [sentence for _, sentence in sheet.wrongs]
    return JsonResponse({"asks": " ".join(wrongs)})


def _recorded(request: HttpRequest, lesson: LessonSession) -> HttpResponse:
    said = "Recorded. Students see it from now on, and the plan goes on from it."
    if "as_planned" in request.POST:
        said = "Recorded as planned. If something went otherwise, change the record."
    if plan_after(lesson):
        said = "Recorded. Students see it from now on. The plan no longer holds as it stands: see below."
    messages.success(request, said)
    if is_sent_by_device(request):
        return JsonResponse({"goes_to": reverse("lessons:lesson", args=[lesson.pk])})
    return redirect("lessons:lesson", lesson.pk)
