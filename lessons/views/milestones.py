"""Milestones of a course: set, changed, taken out."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from lessons.access import get_course_for, get_milestone_for
from lessons.actions.errors import Overtaken
from lessons.actions.milestones import remove_milestone, save_milestone
from lessons.forms.milestones import MilestoneForm
from lessons.models import Course, Milestone
from school.methods import require_form
from school.refusals import put_on_form
from school.second_writer import BothVersions
from school.sent import whole_number
from school.templatetags.words import day


@require_form
def milestone_new(request: HttpRequest, pk: int) -> HttpResponse:
    course = get_course_for(request.user, pk)
    return _form(request, course, Milestone(course=course))


@require_form
def milestone_edit(request: HttpRequest, pk: int) -> HttpResponse:
    milestone = get_milestone_for(request.user, pk)
    return _form(request, milestone.course, milestone)


@require_POST
def milestone_remove(request: HttpRequest, pk: int) -> HttpResponse:
    milestone = get_milestone_for(request.user, pk)
    version = whole_number(request.POST.get("version")) or 0
    try:
        remove_milestone(milestone=milestone, version=version, by=request.user)
    except Overtaken as overtaken:
        messages.error(request, overtaken.sentence)
        return redirect("lessons:milestone", pk)
    messages.success(request, f"{milestone.name} is taken out; nothing must be taught for it any more.")
    return redirect("lessons:course", milestone.course_id)


def _form(request: HttpRequest, course: Course, milestone: Milestone) -> HttpResponse:
    name = milestone.name
    form, differ = MilestoneForm(course, request.POST or None, instance=milestone), None
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        told = {"version": data["version"], "figures": list(data["figures"])}
        try:
            save_milestone(milestone=milestone, by=request.user, **told)
        except ValidationError as refused:
            put_on_form(form, refused)
        except Overtaken:
            differ = _both(form)
        else:
            messages.success(
                request, f"{milestone.name}: what it asks for must be taught by {day(milestone.day)}."
            )
            return redirect("lessons:course", course.pk)
    context = {"course": course, "milestone": milestone, "form": form, "name": name, "differ": differ}
    return render(request, "lessons/milestone.html", context, status=200 if differ is None else 409)


def _both(form: MilestoneForm) -> tuple[BothVersions, ...]:
    """Where what was typed differs from what somebody else wrote. Pressed again, the form goes over it."""
    stands = Milestone.objects.get(pk=form.instance.pk)
    differ = form.differs_from(form.shown_of(stands))
    form.data["version"] = str(stands.version)
    return differ
