"""Ten minutes at home."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from lessons.access import get_own_course_for
from lessons.students.home_practice import ALONE, CLOSE, WARM_UP, home_practice
from lessons.students.private_lessons import homework_of
from school.kept_pages import kept_page


@require_safe
@kept_page
def at_home(request: HttpRequest, pk: int) -> HttpResponse:
    course = get_own_course_for(request.user, pk)
    context = {
        "course": course,
        "practice": home_practice(course, request.user),
        "alone": ALONE,
        "given": homework_of(request.user, course.dance_id),
        "said": {"warm_up": WARM_UP, "close": CLOSE},
    }
    return render(request, "lessons/at_home.html", context)
