"""Marks of the register: what each lesson says to one that is held, putting it down, taking a step back."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from lessons.access import get_plan_for, get_run_for
from lessons.actions.errors import Overtaken
from lessons.actions.plans import start_run
from lessons.actions.ways import take_way
from lessons.board.moving import Touch, look, put_back, put_down
from lessons.board.page import plan_page, steps_page
from lessons.board.places import held
from lessons.board.why_here import why_here_page
from lessons.forms.moves import NOT_WHOLE, HeldForm, MoveForm, SeenForm, StepForm
from lessons.models import TermPlan
from school.kept_pages import kept_page
from school.refusals import in_words
from school.sent import whole_number


@require_safe
def plan_places(request: HttpRequest, pk: int, figure: int) -> HttpResponse:
    """What each lesson says to a mark that is held. Nothing is written."""
    plan = get_plan_for(request.user, pk)
    form = HeldForm(request.GET)
    if not form.is_valid():
        return JsonResponse({"refused": NOT_WHOLE}, status=400)
    if form.cleaned_data["version"] != plan.version:
        return JsonResponse({"stale": True})
    mark = held(plan, figure, form.cleaned_data["kind"], form.cleaned_data["origin"])
    if mark is None:
        raise Http404("this draft does not teach that figure")
    answers = {str(said.lesson or "none"): said.as_json() for said in mark.answers()}
    return JsonResponse({"name": mark.name, "places": answers})


@require_POST
def plan_move(request: HttpRequest, pk: int) -> HttpResponse:
    plan = get_plan_for(request.user, pk)
    form = MoveForm(request.POST)
    if not form.is_valid():
        return _not_whole(request, plan, form)
    return _answer(request, plan, put_down(plan=plan, by=request.user, asked=form.cleaned_data))


@require_POST
def plan_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    plan = get_plan_for(request.user, pk)
    form = StepForm(request.POST)
    if not form.is_valid():
        return _not_whole(request, plan, form)
    return _answer(request, plan, put_back(plan=plan, by=request.user, **form.cleaned_data))


@require_safe
def plan_now(request: HttpRequest, pk: int) -> HttpResponse:
    """The register as it stands, and who changed what since the reader saw it."""
    plan = get_plan_for(request.user, pk)
    form = SeenForm(request.GET)
    if not form.is_valid():
        return _not_whole(request, plan, form)
    return _answer(request, plan, look(plan, form.cleaned_data["version"]))


@require_safe
@kept_page
def plan_changes(request: HttpRequest, pk: int) -> HttpResponse:
    return render(request, "lessons/plan_changes.html", steps_page(get_plan_for(request.user, pk)))


@require_safe
def plan_why(request: HttpRequest, pk: int, figure: int) -> HttpResponse:
    context = why_here_page(get_plan_for(request.user, pk), figure)
    if context is None:
        raise Http404("this plan does not teach that figure")
    return render(request, "lessons/_plan_why.html" if request.htmx else "lessons/plan_why.html", context)


@require_POST
def plan_run_way(request: HttpRequest, pk: int) -> HttpResponse:
    """A way out of a conflict is taken, and the draft planned again at once."""
    run = get_run_for(request.user, pk)
    number = whole_number(request.POST.get("way"))
    try:
        # Where it cannot be planned now, the draft keeps its demand as well.
        with transaction.atomic():
            said = take_way(run=run, number=-1 if number is None else number, by=request.user)
            again = start_run(plan=run.plan, seconds=run.seconds, by=request.user)
    except (Overtaken, ValidationError) as refused:
        messages.error(request, in_words(refused))
        return redirect("lessons:plan-run", pk)
    messages.success(request, f"{said} The term is planned again; on the draft it can be taken back.")
    return redirect("lessons:plan-run", again.pk)


def _answer(request: HttpRequest, plan: TermPlan, touch: Touch) -> HttpResponse:
    """The parts of the register that look otherwise now; without a script, the page itself."""
    if not request.htmx:
        said = touch.refused or " ".join(touch.said)
        if said:
            (messages.error if touch.refused else messages.success)(request, said)
        return redirect("lessons:plan", plan.pk)
    context = plan_page(plan, request.user, board=touch.board)
    return render(request, "lessons/_board_answer.html", context | {"touch": touch, "swap": True})


def _not_whole(request: HttpRequest, plan: TermPlan, form: forms.Form) -> HttpResponse:
    touch = look(plan, plan.version)
    touch.refused = NOT_WHOLE
    return _answer(request, plan, touch)
