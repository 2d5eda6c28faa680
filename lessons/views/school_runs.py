"""Planning the whole school: what it would do, how far it is, stopping it, taking over what came of it."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from lessons.actions.school_runs import accept_all, plan_the_school, stop_the_school
from lessons.models import SchoolRun
from lessons.runs.whole_school import before_planning, school_run_page
from school.kept_pages import kept_page
from school.methods import require_form
from school.models import Term
from school.refusals import in_words
from school.sent import whole_number


@require_form
@kept_page
def school_plan(request: HttpRequest, pk: int) -> HttpResponse:
    """What would be planned is read first; a group alone is asked for from one of its courses."""
    term = get_object_or_404(Term, pk=pk)
    refused = ""
    if request.method == "POST":
        group = whole_number(request.POST.get("group"))
        try:
            school_run = plan_the_school(term=term, by=request.user, group=group)
        except ValidationError as error:
            refused = in_words(error)
        else:
            return redirect("lessons:school-run", school_run.pk)
    return render(request, "lessons/school_plan.html", before_planning(term) | {"refused": refused})


@require_safe
def school_run(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(SchoolRun.objects.select_related("term"), pk=pk)
    template = "lessons/_school_run.html" if request.htmx else "lessons/school_run.html"
    return render(request, template, school_run_page(shown))


@require_POST
def school_run_stop(request: HttpRequest, pk: int) -> HttpResponse:
    stop_the_school(school_run=get_object_or_404(SchoolRun, pk=pk))
    return redirect("lessons:school-run", pk)


@require_POST
def school_run_accept(request: HttpRequest, pk: int) -> HttpResponse:
    done = accept_all(school_run=get_object_or_404(SchoolRun, pk=pk), by=request.user)
    for sentence in done.refused:
        messages.error(request, sentence)
    if done.plans:
        follow = "1 draft follows its" if done.plans == 1 else f"{done.plans} drafts follow their"
        messages.success(request, f"{follow} new plan. Nothing is published yet.")
    elif not done.refused:
        messages.info(request, "There was nothing left to take over.")
    return redirect("lessons:school-run", pk)
