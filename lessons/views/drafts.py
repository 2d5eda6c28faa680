"""A draft is named, or thrown away."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from lessons.access import get_plan_for
from lessons.actions.drafts import discard_draft, rename_draft
from lessons.forms.plans import DraftNameForm
from lessons.views.refusals import put_on_form


@require_http_methods(["GET", "POST"])
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
    try:
        discard_draft(plan=plan, by=request.user)
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
        return redirect("lessons:plan", pk)
    messages.success(request, f"{name} is thrown away.")
    return redirect("lessons:course", course)
