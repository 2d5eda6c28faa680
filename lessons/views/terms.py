"""The term: every course at a glance; beginning a term."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from lessons.board.term import Sought, term_sheet
from lessons.forms.terms import TermForm
from school.clock import today
from school.kept_pages import kept_page
from school.methods import require_form
from school.models import Closure, Term


@require_safe
@kept_page
def term(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    shown = get_object_or_404(Term, pk=pk) if pk else Term.objects.nearest(today())
    if shown is None:
        return render(request, "lessons/term_none.html")
    closures = Closure.objects.filter(
        first_day__lte=shown.last_day, last_day__gte=shown.first_day
    ).select_related("room")
    sought = Sought(
        words=request.GET.get("q", "").strip()[:80],
        only_wrong="wrong" in request.GET,
        by_day=request.GET.get("order") == "day",
        page=request.GET.get("page", "1"),
    )
    context = {
        "term": shown,
        "sheet": term_sheet(shown, sought),
        "sought": sought,
        "closures": closures,
        "terms": Term.objects.exclude(pk=shown.pk),
    }
    return render(request, "lessons/term.html", context)


@require_form
def term_new(request: HttpRequest) -> HttpResponse:
    form = TermForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        added = form.save()
        messages.success(request, f"{added} is there. Now say which courses it has.")
        return redirect("lessons:term", added.pk)
    return render(request, "lessons/term_new.html", {"form": form})
