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
    form = SchoolForm(request.POST or None, instance=School.current())
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "The school is saved.")
        return redirect("school:set-up")
    return render(request, "school/set_up.html", {"form": form, "rooms": Room.objects.all()})


@require_form
def room(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """One room's form, a new one's without `pk`."""
    changed = get_object_or_404(Room, pk=pk) if pk else None
    form = RoomForm(request.POST or None, instance=changed)
    if request.method == "POST" and form.is_valid():
        saved = form.save()
        messages.success(request, f"{saved} is saved.")
        return redirect("school:set-up")
    return render(request, "school/room.html", {"form": form, "room": changed})
