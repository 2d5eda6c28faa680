"""The term: every course at a glance; beginning a term; days without class."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from lessons.actions.calendar import close_days, closure_consequences
from lessons.board.term import term_sheet
from lessons.forms.terms import ClosureForm, TermForm
from school.clock import today
from school.models import Closure, Term


@require_safe
def term(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    shown = get_object_or_404(Term, pk=pk) if pk else Term.objects.nearest(today())
    if shown is None:
        return render(request, "lessons/term_none.html")
    closures = Closure.objects.filter(
        first_day__lte=shown.last_day, last_day__gte=shown.first_day
    ).select_related("room")
    context = {
        "term": shown,
        "sheet": term_sheet(shown),
        "closures": closures,
        "terms": Term.objects.exclude(pk=shown.pk),
    }
    return render(request, "lessons/term.html", context)


@require_http_methods(["GET", "POST"])
def term_new(request: HttpRequest) -> HttpResponse:
    form = TermForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        added = form.save()
        messages.success(request, f"{added} is there. Now say which courses it has.")
        return redirect("lessons:term", added.pk)
    return render(request, "lessons/term_new.html", {"form": form})


@require_http_methods(["GET", "POST"])
def closure_new(request: HttpRequest) -> HttpResponse:
    """First shows what falls out; closes only what the director has seen."""
    form = ClosureForm(request.POST or None)
    falls_out = None
    if request.method == "POST" and form.is_valid():
        asked = {name: form.cleaned_data[name] for name in ("first_day", "last_day", "room")}
        falls_out = closure_consequences(**asked)
        seen = ",".join(str(one.lesson.pk) for one in falls_out)
        if form.cleaned_data["seen"] == seen or not falls_out:
            closure, lessons = close_days(**asked, reason=form.cleaned_data["reason"], by=request.user)
            messages.success(request, _said(closure, len(lessons)))
            return redirect("lessons:term")
        form.data = form.data.copy()
        form.data["seen"] = seen
    return render(request, "lessons/closure_new.html", {"form": form, "falls_out": falls_out})


def _said(closure: Closure, fallen: int) -> str:
    which = f"{fallen} lesson{'s' if fallen != 1 else ''}" if fallen else "No lesson"
    fall = "falls" if fallen < 2 else "fall"
    return f"No class: {closure.reason}. {which} {fall} out."
