"""A level or a figure is deleted, while nothing hangs on it, and after what follows was read."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from curriculum.access import get_figure_for, levels_for
from curriculum.removing import follows_figure, remove_figure, remove_level
from curriculum.views.asking_first import asked_first
from school.methods import require_form
from school.refusals import carried_out


@require_form
def level_remove(request: HttpRequest, pk: int) -> HttpResponse:
    level = get_object_or_404(levels_for(request.user).select_related("dance"), pk=pk)
    back = reverse("curriculum:dance", args=[level.dance_id])
    if request.method != "POST":
        follows = (
            "It cannot be brought back.",
            "It goes only while it has no figure and no routine, and no course and nobody stands on it.",
        )
        asks = f"Delete the level {level.name}?"
        return asked_first(
            request, asks, follows, button=f"Delete {level.name}", back=back, dance=level.dance
        )
    if carried_out(request, lambda: remove_level(level)):
        messages.success(request, f"{level} is deleted.")
    return redirect(back)


@require_form
def figure_remove(request: HttpRequest, pk: int) -> HttpResponse:
    figure = get_figure_for(request.user, pk)
    if request.method != "POST":
        back = reverse("curriculum:figure-edit", args=[pk])
        asks, follows = f"Delete {figure.name}?", follows_figure(figure)
        return asked_first(request, asks, follows, button="Delete this figure", back=back, dance=figure.dance)
    if not carried_out(request, lambda: remove_figure(figure)):
        return redirect("curriculum:figure-edit", pk)
    messages.success(request, f"{figure.name} is deleted.")
    return redirect("curriculum:dance", figure.dance_id)
