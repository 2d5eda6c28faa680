"""The school itself and its rooms."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from school.forms import RoomForm, SchoolForm
from school.methods import require_form
from school.models import Room, School


@require_form
def set_up(request: HttpRequest) -> HttpResponse:
    form, differ = SchoolForm(request.POST or None, instance=School.current()), None
    if request.method == "POST" and form.is_valid():
        differ = form.save_or_show_both()
        if differ is None:
            messages.success(request, "The school is saved.")
            return redirect("school:set-up")
    context = {"form": form, "rooms": Room.objects.all(), "differ": differ}
    return render(request, "school/set_up.html", context, status=200 if differ is None else 409)


@require_form
def room(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """One room's form, a new one's without `pk`."""
    changed = get_object_or_404(Room, pk=pk) if pk else None
    name = changed.name if changed else ""
    form, differ = RoomForm(request.POST or None, instance=changed), None
    if request.method == "POST" and form.is_valid():
        differ = form.save_or_show_both()
        if differ is None:
            messages.success(request, f"{form.instance} is saved.")
            return redirect("school:set-up")
    context = {"form": form, "name": name, "differ": differ}
    return render(request, "school/room.html", context, status=200 if differ is None else 409)
