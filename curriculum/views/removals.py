"""A level or a figure is deleted, while nothing hangs on it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from curriculum.access import get_figure_for, levels_for
from curriculum.removing import remove_figure, remove_level
from school.refusals import carried_out


@require_POST
def level_remove(request: HttpRequest, pk: int) -> HttpResponse:
    level = get_object_or_404(levels_for(request.user), pk=pk)
    if carried_out(request, lambda: remove_level(level)):
        messages.success(request, f"{level} is deleted.")
    return redirect("curriculum:dance", level.dance_id)


@require_POST
def figure_remove(request: HttpRequest, pk: int) -> HttpResponse:
    figure = get_figure_for(request.user, pk)
    if not carried_out(request, lambda: remove_figure(figure)):
        return redirect("curriculum:figure-edit", pk)
    messages.success(request, f"{figure.name} is deleted.")
    return redirect("curriculum:dance", figure.dance_id)
