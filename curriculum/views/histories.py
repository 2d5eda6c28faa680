"""What became of a figure: who changed what and when, and the way back."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from curriculum.access import get_figure_for
from curriculum.history_page import history_of
from curriculum.restoring import restore as bring_back
from school.errors import Overtaken
from school.kept_pages import kept_page


@require_safe
@kept_page
def history(request: HttpRequest, pk: int) -> HttpResponse:
    figure = get_figure_for(request.user, pk)
    before = request.GET.get("before", "")
    page = history_of(figure, before=int(before) if before.isdecimal() else None)
    return render(request, "curriculum/figure_history.html", {"figure": figure, "page": page})


@require_POST
def restore(request: HttpRequest, pk: int, version: int) -> HttpResponse:
    figure = get_figure_for(request.user, pk)
    row = get_object_or_404(figure.versions, version=version)
    seen = request.POST.get("version", "")
    try:
        lost = bring_back(
            figure=figure, row=row, version=int(seen) if seen.isdecimal() else 0, by=request.user
        )
    except Overtaken as overtaken:
        messages.error(request, overtaken.sentence)
    except ValidationError as refusal:
        messages.error(request, f"It cannot be brought back: {' '.join(refusal.messages)}")
    else:
        messages.success(request, f"{figure} is again as it was at version {version}.")
        for sentence in lost:
            messages.warning(request, sentence)
    return redirect("curriculum:figure-history", pk)
