"""Ready for the next level: the student's own page, an instructor's sign-offs, the director's list."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from curriculum.models import Level
from lessons.access import get_course_for, get_own_course_for
from lessons.actions.sign_offs import sign_off
from lessons.forms.requirements import Requirements
from lessons.models import Course
from lessons.students.readiness import (
    ReadyList,
    course_readiness,
    furthest,
    next_level,
    ready_lists,
    school_readiness,
)
from school.clock import today
from school.kept_pages import kept_page
from school.methods import require_form
from school.models import Person

# Of the school: so many courses on a page, and so many people of each.
COURSES_A_PAGE, MOST = 8, 5


@require_safe
@kept_page
def ready(request: HttpRequest, pk: int) -> HttpResponse:
    """What is open for oneself, to read and to print."""
    course = get_own_course_for(request.user, pk)
    context = {
        "course": course,
        "lists": ready_lists(course, request.user),
        "next": next_level(course),
        "name": request.user.shown_name,
    }
    return render(request, "lessons/ready.html", context)


@require_safe
@kept_page
def sign_offs(request: HttpRequest, pk: int) -> HttpResponse:
    """Everybody in the course, and how far they are."""
    course = get_course_for(request.user, pk)
    context = {
        "course": course,
        "lists": course_readiness(course),
        "next": next_level(course),
        "may_sign": _may_sign(request.user, course),
    }
    return render(request, "lessons/sign_offs.html", context)


@require_safe
@kept_page
def ready_school(request: HttpRequest) -> HttpResponse:
    """Who is ready, in every course of the terms that run."""
    running = Course.objects.filter(term__first_day__lte=today(), term__last_day__gte=today())
    running = running.select_related("dance").prefetch_related("levels").order_by("key", "pk")
    page = Paginator(running, COURSES_A_PAGE).get_page(request.GET.get("page"))
    found = school_readiness(list(page))
    context = {"page": page, "courses": [furthest(course, found[course.pk], MOST) for course in page]}
    return render(request, "lessons/ready_school.html", context)


@require_form
def sign_off_person(request: HttpRequest, pk: int, person: int) -> HttpResponse:
    course = get_course_for(request.user, pk)
    if not _may_sign(request.user, course):
        raise PermissionDenied("Only those who teach this course and the director sign off here.")
    lists = ready_lists(course, get_object_or_404(Person, pk=person))
    if not lists:
        raise Http404("nobody of this course")
    refusals: list[str] = []
    if request.method == "POST":
        try:
            is_changed = _write(request, lists)
        except ValidationError as refused:
            refusals = refused.messages
        else:
            said = f"Kept for {lists[0].person}." if is_changed else "Nothing was changed."
            messages.success(request, said)
            return redirect("lessons:sign-offs", pk)
    context = {"course": course, "lists": lists, "refusals": refusals}
    return render(request, "lessons/sign_off_person.html", context)


def _write(request: HttpRequest, lists: list[ReadyList]) -> bool:
    """Adds and takes back what was changed on the form, of the list `role` names. Says whether any was."""
    role = request.POST.get("role", "")
    asked = next((one for one in lists if one.role == role), None)
    if asked is None:
        raise ValidationError("Choose leader or follower.")
    ticked, was = (set(request.POST.getlist(name)) for name in ("signed", "was"))
    lines = {str(line.requirement.pk): line.requirement for line in asked.lines}
    add = [line for key, line in lines.items() if key in ticked - was]
    take_back = [line for key, line in lines.items() if key in was - ticked]
    sign_off(person=asked.person, role=role, add=add, take_back=take_back, by=request.user)
    return bool(add or take_back)


@require_form
def requirements(request: HttpRequest, pk: int) -> HttpResponse:
    level = get_object_or_404(Level.objects.select_related("dance"), pk=pk)
    lines = Requirements(request.POST or None, level=level)
    if lines.is_bound and lines.is_valid():
        lines.save()
        messages.success(request, "The list is saved.")
        return redirect("lessons:requirements", pk)
    context = {"level": level, "lines": lines, "read": lines.as_it_stands}
    return render(request, "lessons/requirements.html", context)


def _may_sign(user: Person, course: Course) -> bool:
    """The director everywhere, an instructor in the courses they teach. At most one query."""
    return user.is_director or Course.objects.taught_by(user).filter(pk=course.pk).exists()
