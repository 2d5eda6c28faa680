"""The run-sheet of one lesson, changed by who gives it."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from lessons.access import get_own_lesson_for
from lessons.actions.errors import Overtaken
from lessons.actions.sheets import refuse_closed
from lessons.run_sheet.change_page import SheetPage
from school.methods import require_form
from school.models import Person


@require_form
def sheet_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Every press saves and fits the rest again; a press that cannot be says why at its row."""
    lesson = get_own_lesson_for(request.user, pk)
    try:
        refuse_closed(lesson)
    except ValidationError as closed:
        messages.warning(request, closed.messages[0])
        return redirect("lessons:lesson", pk)
    page = SheetPage(lesson, request.POST if request.method == "POST" else None)
    if page.data is not None and _saved(page, request.user):
        place = "" if page.go_on_at is None else f"#row-{page.go_on_at}"
        return redirect(reverse("lessons:sheet-edit", args=[pk]) + place)
    return render(request, "lessons/sheet_edit.html", {"lesson": lesson, "page": page})


def _saved(page: SheetPage, by: Person) -> bool:
    if page.data.get("press") != "as-planned" and not page.is_valid():
        return False
    try:
        page.save(by=by)
    except Overtaken as overtaken:
        page.show_theirs(str(overtaken))
    except ValidationError as refused:
        page.refusals.extend(refused.messages)
    else:
        return True
    return False
