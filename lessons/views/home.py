"""Today: one address, for each role what it looks for first."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from lessons.people.helpers import my_calls
from lessons.people.showcase import showcase_that_asks
from lessons.runs.signs import worker_is_alive
from lessons.students.catch_up_page import my_catch_ups
from lessons.students.private_lessons import my_private_today, private_day
from lessons.today.beginning import beginning
from lessons.today.desk import director_desk, instructor_desk, student_desk
from lessons.today.student_day import in_order
from school.kept_pages import kept_page


def _worker_is_missed(request: HttpRequest) -> bool:
    """Which a director is told, and no row but the passing of time brings about."""
    return request.user.is_director and not worker_is_alive()


@require_safe
@kept_page(also={"lessons_workersign": _worker_is_missed})
def home(request: HttpRequest) -> HttpResponse:
    """A person with several roles reads them in this order: director, instructor, student."""
    person = request.user
    everything = request.GET.get("all", "")
    context: dict[str, Any] = {}
    if person.is_director:
        context |= {"director": director_desk(everything), "steps": beginning()}
    if person.is_instructor:
        context["instructor"] = instructor_desk(person, everything)
        context["private"] = private_day(person)
    if person.is_student:
        context["student"] = student_desk(person)
        context["showcase"] = showcase_that_asks(person, [mine.course for mine in context["student"]])
        context["dancing"] = in_order(
            courses=context["student"],
            visits=my_catch_ups(person),
            calls=my_calls(person),
            private=my_private_today(person),
        )
    return render(request, "lessons/home.html", context)
