"""The builder: a routine's row changed at one place at a time, and the last change undone."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from curriculum.access import get_routine_for
from curriculum.danceable_from import danceable_from
from curriculum.history_page import changes_since, who_was_first_since
from curriculum.models import Routine
from curriculum.routine_bench import Dances
from curriculum.routine_builder import place_of, undo_of
from curriculum.routine_look import kept_of, look_of
from curriculum.routine_report import routine_page
from curriculum.routine_writing import bring_back, change_row
from curriculum.row_change import RowChangeForm
from school.errors import Overtaken
from school.kept_pages import kept_page
from school.refusals import in_words
from school.sent import whole_number


@require_safe
@kept_page
def build(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_routine_for(request.user, pk)
    return render(request, "curriculum/routine_build.html", _builder(request, shown, request.GET))


@require_POST
def change(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_routine_for(request.user, pk)
    form = RowChangeForm(request.POST)
    kept = kept_of(request.POST.get("kept", ""))
    if form.is_valid():
        try:
            row = change_row(
                routine=shown, version=form.cleaned_data["version"], by=request.user, change=form.change
            )
        except Overtaken:
            return _overtaken(request, get_routine_for(request.user, pk), form)
        except (ValidationError, ValueError) as refusal:
            said = refusal.messages if isinstance(refusal, ValidationError) else [str(refusal)]
            messages.error(request, " ".join(said))
        else:
            return _back(pk, form.chosen_after(row), kept)
    else:
        messages.error(request, form.sentence)
    return _back(pk, whole_number(request.POST.get("at")) or 0, kept)


@require_POST
def undo(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_routine_for(request.user, pk)
    last = undo_of(shown)
    try:
        if last is None:
            raise Overtaken("There is nothing left to undo.")
        lost = bring_back(
            routine=shown,
            row=last.row,
            version=whole_number(request.POST.get("version")) or 0,
            by=request.user,
        )
    except Overtaken as overtaken:
        messages.error(request, f"{overtaken.sentence} Nothing was undone.")
    except ValidationError as refusal:
        messages.error(request, in_words(refusal))
    else:
        messages.success(request, f"Undone: {' '.join(last.sentences)}")
        for sentence in lost:
            messages.warning(request, sentence)
    return _back(pk, whole_number(request.POST.get("at")) or 0, kept_of(request.POST.get("kept", "")))


def _builder(request: HttpRequest, shown: Routine, asked: Any) -> dict[str, Any]:
    look = look_of(shown, request.user, asked)
    dances = Dances(shown)
    page = routine_page(
        shown, look.moments.chosen, tempo=look.tempo, seconds=look.seconds, known=dances.passages
    )
    at = whole_number(asked.get("at"))
    place = place_of(page, dances, at, replaces=asked.get("mode") == "replace")
    return {
        "routine": shown,
        "page": page,
        "look": look,
        "place": place,
        "danceable_from": danceable_from(page.strip, look.moments.clocks),
        "undo": undo_of(shown),
        "dances": dances,
    }


def _overtaken(request: HttpRequest, shown: Routine, form: RowChangeForm) -> HttpResponse:
    """The routine as it stands now, what was changed meanwhile, and the change that was not made."""
    context = _builder(request, shown, request.POST)
    context |= {
        "since": changes_since(shown, form.cleaned_data["version"]),
        "who_was_first": who_was_first_since(shown, form.cleaned_data["version"], request.user),
        "wanted": form,
        "wanted_said": form.said(context["dances"].names),
    }
    # A fragment's answer is only put into the page where it is not an error.
    status = 200 if request.htmx else 409
    return render(request, "curriculum/routine_build.html", context, status=status)


def _back(pk: int, at: int, kept: str) -> HttpResponse:
    address = reverse("curriculum:routine-build", args=[pk])
    return redirect(f"{address}?at={at}{'&' if kept else ''}{kept}")
