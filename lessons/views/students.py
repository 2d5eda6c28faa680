"""A student's own page: the level as far as taught, and what comes."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from curriculum.whose_part import role_shown
from lessons.access import get_own_course_for
from lessons.students.my_level import my_level_of
from lessons.students.private_lessons import my_private
from lessons.today.desk import other_courses, own_courses
from school.kept_pages import kept_page


@require_safe
@kept_page
def my_level(request: HttpRequest) -> HttpResponse:
    """Straight to the level of somebody in one course; the others choose."""
    courses = own_courses(request.user)
    if len(courses) == 1:
        return redirect("lessons:my-level-course", courses[0].pk)
    context = {"courses": courses, "private": my_private(request.user)}
    return render(request, "lessons/my_levels.html", context)


@require_safe
@kept_page
def my_level_course(request: HttpRequest, pk: int) -> HttpResponse:
    course = get_own_course_for(request.user, pk)
    level = my_level_of(course, request.user)
    others = other_courses(course, request.user)
    context = {
        "course": course,
        "level": level,
        "others": others,
        "private": my_private(
            request.user, dance=course.dance_id, other_dances=[other.dance_id for other in others]
        ),
        "charts_shown": role_shown(request.user, course.dance_id),
    }
    return render(request, "lessons/my_level.html", context)
