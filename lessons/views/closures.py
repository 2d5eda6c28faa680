"""Days without class: what follows is shown first, when they are closed, changed and taken back."""

from __future__ import annotations

from copy import copy

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from lessons.actions.calendar import close_days
from lessons.actions.reopening import change_closure
from lessons.forms.closures import ClosureForm, ReopenForm
from lessons.timetable.closing import of_closing, of_reopening, said_of_closing, said_of_reopening
from school.clock import today
from school.methods import require_form
from school.models import Closure


@require_form
def closure_new(request: HttpRequest) -> HttpResponse:
    """First shows what falls out; closes only what the director has seen."""
    form = ClosureForm(request.POST or None)
    context: dict[str, object] = {"form": form, "closures": _to_come()}
    if request.method == "POST" and form.is_valid():
        asked = {name: form.cleaned_data[name] for name in ("first_day", "last_day", "room")}
        follows = of_closing(form.instance)
        if form.has_seen(follows.seen):
            closure, lessons = close_days(**asked, reason=form.cleaned_data["reason"], by=request.user)
            messages.success(request, said_of_closing(closure, len(lessons)))
            return redirect("lessons:term")
        form.show(follows.seen)
        context["follows"] = follows
    return render(request, "lessons/closure_new.html", context)


@require_form
def closure_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """The same for days that are closed already: what comes back is offered, nothing is done unseen."""
    closure = get_object_or_404(Closure.objects.select_related("room"), pk=pk)
    removes = "remove" in request.POST
    form = ReopenForm(request.POST or None, instance=copy(closure))
    context: dict[str, object] = {"form": form, "closure": closure, "removes": removes}
    if request.method == "POST" and (form.is_valid() or removes):
        if not removes and (differ := form.both_if_overtaken(form.shown_of(closure))) is not None:
            return render(request, "lessons/closure_edit.html", context | {"differ": differ}, status=409)
        becomes = None if removes else form.instance
        follows = of_reopening(closure, becomes)
        if form.has_seen(follows.seen):
            chosen = form.cleaned_data.get("back", [])
            done = change_closure(closure=closure, becomes=becomes, bring_back=chosen, by=request.user)
            messages.success(request, said_of_reopening(done, removed=removes))
            return redirect("lessons:term")
        form.show(follows.seen)
        form.offer(follows.back)
        context["follows"] = follows
    return render(request, "lessons/closure_edit.html", context)


def _to_come() -> list[Closure]:
    return list(Closure.objects.filter(last_day__gte=today()).select_related("room"))
