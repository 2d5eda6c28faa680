"""Tonight: the lesson's run-sheet, its people, its room."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from lessons.access import get_lesson_for
from lessons.evening.lesson_page import lesson_page
from school.kept_pages import keep_until, kept_page


@require_safe
@kept_page
def lesson(request: HttpRequest, pk: int) -> HttpResponse:
    """The run-sheet, phone first and one page of paper."""
    lesson = get_lesson_for(request.user, pk)
    context = lesson_page(lesson, reader=request.user, school=request.school)
    keep_until(request, *(link.ends_at for link in context["cover_links"]))
    return render(request, "lessons/lesson.html", context)
