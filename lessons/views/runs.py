"""A planning run: asked for, watched, stopped, and its plan accepted or left."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from lessons.access import get_course_for, get_plan_for, get_run_for
from lessons.actions.again import accept_again, propose_again
from lessons.actions.errors import Overtaken
from lessons.actions.plans import accept_run, leave_run, start_run, stop_run
from lessons.board.outcome import outcome_of
from lessons.forms.plans import RunForm
from lessons.models import PlanRun, RunKind
from lessons.runs.again_page import again_page
from school.refusals import in_words


@require_POST
def plan_run_start(request: HttpRequest, pk: int) -> HttpResponse:
    plan = get_plan_for(request.user, pk)
    form = RunForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Choose how long to search.")
        return redirect("lessons:plan", pk)
    try:
        run = start_run(plan=plan, seconds=form.cleaned_data["seconds"], by=request.user)
    except ValidationError as refused:
        messages.error(request, in_words(refused))
        return redirect("lessons:plan", pk)
    return redirect("lessons:plan-run", run.pk)


@require_POST
def plan_again(request: HttpRequest, pk: int) -> HttpResponse:
    """An instructor may ask for it as well; the director decides on what comes of it."""
    course = get_course_for(request.user, pk)
    try:
        run = propose_again(course=course, by=request.user)
    except ValidationError as refused:
        messages.error(request, in_words(refused))
        return redirect("lessons:course", pk)
    return redirect("lessons:plan-run", run.pk)


@require_safe
def plan_run(request: HttpRequest, pk: int) -> HttpResponse:
    run = get_run_for(request.user, pk)
    if run.kind == RunKind.AGAIN:
        context = {"run": run, "plan": run.plan, **again_page(run)}
        return render(request, "lessons/_again.html" if request.htmx else "lessons/again.html", context)
    context = {"run": run, "plan": run.plan, **outcome_of(run)}
    return render(request, "lessons/_run.html" if request.htmx else "lessons/run.html", context)


@require_POST
def plan_run_stop(request: HttpRequest, pk: int) -> HttpResponse:
    stop_run(run=get_run_for(request.user, pk))
    return redirect("lessons:plan-run", pk)


@require_POST
def plan_run_answer(request: HttpRequest, pk: int) -> HttpResponse:
    run = get_run_for(request.user, pk)
    if run.kind == RunKind.AGAIN:
        return _answer_again(request, run)
    accepts = request.POST.get("answer") == "accept"
    try:
        (accept_run if accepts else leave_run)(run=run, by=request.user)
    except (Overtaken, ValidationError) as refused:
        messages.error(request, in_words(refused))
        return redirect("lessons:plan-run", pk)
    messages.success(request, "The draft follows the new plan." if accepts else "The draft stays as it was.")
    return redirect("lessons:plan", run.plan_id)


def _answer_again(request: HttpRequest, run: PlanRun) -> HttpResponse:
    answer = request.POST.get("answer", "")
    try:
        if answer == "leave":
            leave_run(run=run, by=request.user)
            messages.success(request, "The plan stays as it is.")
            return redirect("lessons:plan", run.plan_id)
        plan = accept_again(run=run, proposal=answer, by=request.user)
    except (Overtaken, ValidationError) as refused:
        messages.error(request, in_words(refused))
        return redirect("lessons:plan-run", run.pk)
    messages.success(request, "Published. Instructors and students read this plan from now on.")
    return redirect("lessons:plan", plan.pk)
