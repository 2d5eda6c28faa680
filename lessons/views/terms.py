"""The term: every course at a glance; a term begun, changed, deleted."""

from __future__ import annotations

from copy import copy

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from lessons.actions.terms import (
    Outside,
    follow_days,
    lies_outside,
    refuse_outside,
    remove_term,
    said_of_days,
    said_of_overlaps,
)
from lessons.board.term import Sought, term_sheet
from lessons.forms.terms import TermForm
from school.clock import today
from school.kept_pages import kept_page
from school.methods import require_form
from school.models import Closure, Term
from school.refusals import carried_out, done

# Of what would fall out of a term, so many are named with their way.
_FEW = 5


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
    """A term that overlaps another is read of first: a school may want that."""
    form = TermForm(request.POST or None)
    follows: list[str] = []
    if request.method == "POST" and form.is_valid():
        follows = said_of_overlaps(form.instance)
        if not follows or form.has_seen(follows):
            added = form.save()
            messages.success(request, f"{added} is there. Now say which courses it has.")
            return redirect("lessons:term", added.pk)
        form.show(follows)
    return render(request, "lessons/term_new.html", {"form": form, "follows": follows})


@require_form
def term_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """What follows from new days is said first; what would fall out of the term is refused."""
    term = get_object_or_404(Term, pk=pk)
    was = copy(term)
    form, differ = TermForm(request.POST or None, instance=term), None
    follows: list[str] = []
    outside: dict[str, list[Outside]] = {}
    if form.is_bound and form.is_valid():
        outside = lies_outside(term)
    if form.is_bound and form.is_valid() and done(form, lambda: refuse_outside(outside)):
        follows = said_of_days(term, was)
        if follows and not form.has_seen(follows):
            form.show(follows)
        else:
            with transaction.atomic():
                differ = form.save_or_show_both()
                if differ is None:
                    follow_days(term, was, by=request.user)
            if differ is None:
                messages.success(request, f"{term} is saved.")
                return redirect("lessons:term", pk)
    context = {
        "form": form,
        "term": was,
        "follows": follows,
        "differ": differ,
        "outside": _few(outside),
    }
    return render(request, "lessons/term_edit.html", context, status=200 if differ is None else 409)


def _few(outside: dict[str, list[Outside]]) -> list[tuple[list[Outside], int]]:
    """For each day that shuts something out, the first few with how many more there are."""
    return [(rows[:_FEW], len(rows[_FEW:])) for rows in outside.values()]


@require_POST
def term_remove(request: HttpRequest, pk: int) -> HttpResponse:
    term = get_object_or_404(Term, pk=pk)
    if not carried_out(request, lambda: remove_term(term=term, by=request.user)):
        return redirect("lessons:term-edit", pk)
    messages.success(request, f"{term.name} is deleted.")
    return redirect("lessons:term")
