"""A level or a figure is deleted, while nothing hangs on it."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from curriculum.access import get_figure_for, levels_for
from curriculum.removing import remove_figure, remove_level


@require_POST
def level_remove(request: HttpRequest, pk: int) -> HttpResponse:
    level = get_object_or_404(levels_for(request.user), pk=pk)
    try:
        remove_level(level)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"{level} is deleted.")
    return redirect("curriculum:dance", level.dance_id)


@require_POST
def figure_remove(request: HttpRequest, pk: int) -> HttpResponse:
    figure = get_figure_for(request.user, pk)
    try:
        remove_figure(figure)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect("curriculum:figure-edit", pk)
    messages.success(request, f"{figure.name} is deleted.")
    return redirect("curriculum:dance", figure.dance_id)
