"""What became of a figure or a routine: who changed what and when, and the way back."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from curriculum.access import get_figure_for, get_routine_for
from curriculum.history_page import HistoryPage, history_of
from curriculum.models import Figure, Routine
from curriculum.restoring import restore
from curriculum.routine_writing import bring_back
from school.errors import Overtaken
from school.kept_pages import kept_page
from school.refusals import in_words
from school.sent import whole_number


@require_safe
@kept_page
def figure_history(request: HttpRequest, pk: int) -> HttpResponse:
    figure = get_figure_for(request.user, pk)
    return render(
        request, "curriculum/figure_history.html", {"figure": figure, "page": _page(request, figure)}
    )


@require_safe
@kept_page
def routine_history(request: HttpRequest, pk: int) -> HttpResponse:
    routine = get_routine_for(request.user, pk)
    return render(
        request, "curriculum/routine_history.html", {"routine": routine, "page": _page(request, routine)}
    )


@require_POST
def figure_restore(request: HttpRequest, pk: int, version: int) -> HttpResponse:
    figure = get_figure_for(request.user, pk)
    _bring_back(request, figure, version, partial(restore, figure=figure))
    return redirect("curriculum:figure-history", pk)


@require_POST
def routine_restore(request: HttpRequest, pk: int, version: int) -> HttpResponse:
    routine = get_routine_for(request.user, pk)
    write = partial(bring_back, routine=routine)
    _bring_back(request, routine, version, write, further="It was left as it is: look at what changed first.")
    return redirect("curriculum:routine-history", pk)


def _page(request: HttpRequest, kept: Figure | Routine) -> HistoryPage:
    return history_of(kept, before=whole_number(request.GET.get("before")))


def _bring_back(
    request: HttpRequest,
    kept: Figure | Routine,
    version: int,
    write: Callable[..., tuple[str, ...]],
    *,
    further: str = "",
) -> None:
    """`write` brings a version's row back, and says in sentences what could not be. `further`: what there is
    to say where somebody else was quicker, besides that."""
    row = get_object_or_404(kept.versions, version=version)
    seen = whole_number(request.POST.get("version")) or 0
    try:
        lost = write(row=row, version=seen, by=request.user)
    except Overtaken as overtaken:
        messages.error(request, f"{overtaken.sentence} {further}".strip())
    except ValidationError as refusal:
        messages.error(request, f"It cannot be brought back: {in_words(refusal)}")
    else:
        messages.success(request, f"{kept} is again as it was at version {version}.")
        for sentence in lost:
            messages.warning(request, sentence)
