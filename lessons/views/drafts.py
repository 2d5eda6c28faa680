"""Drafts: named, thrown away, made from other plans, and laid beside each other."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from lessons.access import get_course_for, get_plan_for
from lessons.actions.drafts import discard_draft, rename_draft
from lessons.actions.earlier_plans import copy_from, duplicate
from lessons.board.compare import comparison, others_of
from lessons.board.published import published_page
from lessons.forms.copying import CopyFromForm
from lessons.forms.plans import DraftNameForm
from lessons.models import PlanStatus
from school.kept_pages import kept_page
from school.methods import require_form
from school.refusals import carried_out, put_on_form


@require_form
def plan_name(request: HttpRequest, pk: int) -> HttpResponse:
    plan = get_plan_for(request.user, pk)
    form = DraftNameForm(request.POST or None, initial={"name": plan.name})
    if request.method == "POST" and form.is_valid():
        try:
            rename_draft(plan=plan, name=form.cleaned_data["name"], by=request.user)
        except ValidationError as refused:
            put_on_form(form, refused)
        else:
            return redirect("lessons:plan", pk)
    return render(request, "lessons/plan_name.html", {"plan": plan, "form": form})


@require_POST
def plan_discard(request: HttpRequest, pk: int) -> HttpResponse:
    plan = get_plan_for(request.user, pk)
    name, course = plan.name, plan.course_id
    if not carried_out(request, lambda: discard_draft(plan=plan, by=request.user)):
        return redirect("lessons:plan", pk)
    messages.success(request, f"{name} is thrown away.")
    return redirect("lessons:course", course)


@require_POST
def plan_duplicate(request: HttpRequest, pk: int) -> HttpResponse:
    """A copy to try things on; of a plan that was published, the way back to it."""
    plan = get_plan_for(request.user, pk)
    draft = duplicate(plan=plan, by=request.user)
    if plan.status == PlanStatus.RETIRED:
        published = plan.course.plans.filter(status=PlanStatus.PUBLISHED).first()
        messages.success(request, "Here it is again as a draft. Publish it, and it is in force from then on.")
        if published:
            return redirect("lessons:plan-compare-with", published.pk, draft.pk)
    else:
        messages.success(request, f"{draft.name}: a draft of its own. {plan.title} stays as it is.")
    return redirect("lessons:plan", draft.pk)


@require_form
def plan_copy_from(request: HttpRequest, pk: int) -> HttpResponse:
    course = get_course_for(request.user, pk)
    form = CopyFromForm(course, request.POST or None)
    if request.method == "POST" and form.is_valid():
        draft = copy_from(course=course, source=form.cleaned_data["plan"], by=request.user)
        messages.success(
            request, "A draft that follows it lesson by lesson. Look through it before you publish."
        )
        return redirect("lessons:plan", draft.pk)
    return render(request, "lessons/plan_copy.html", {"course": course, "form": form})


@require_safe
@kept_page
def plan_compare(request: HttpRequest, pk: int, other: int | None = None) -> HttpResponse:
    plan = get_plan_for(request.user, pk)
    context = others_of(plan)
    if other is None and len(context["others"]) == 1:
        other = context["others"][0].pk
    if other is not None:
        beside = next((one for one in context["others"] if one.pk == other), None)
        if beside is None:
            raise Http404("that is no other plan of this course")
        beside.course = plan.course
        context["compared"] = comparison(plan, beside)
    return render(request, "lessons/plan_compare.html", context)


@require_safe
@kept_page
def plan_history(request: HttpRequest, pk: int) -> HttpResponse:
    return render(request, "lessons/plan_history.html", published_page(get_course_for(request.user, pk)))
