"""A course's page for the wall: read without signing in, made with its poster, withdrawn."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from lessons.access import get_course_for
from lessons.actions.addresses import find_wall_address, make_wall_address, withdraw_wall_address
from lessons.courses.wall import open_wall_addresses, wall_page
from lessons.models import WallAddress
from lessons.views.by_address import kept_to_itself
from school.clock import today
from school.methods import require_form
from school.qr import qr_code
from school.shown_once import keep_to_show, show_once


@require_safe
def wall(request: HttpRequest, secret: str) -> HttpResponse:
    """Read without signing in. An address that ended, was withdrawn or never was is nothing, each alike."""
    address = find_wall_address(secret)
    if address is None:
        raise Http404("no such page")
    return kept_to_itself(render(request, "lessons/wall.html", {"page": wall_page(address.course)}))


@never_cache
@require_form
def course_wall(request: HttpRequest, pk: int) -> HttpResponse:
    """The addresses that are open; a new one is shown once, as a poster to print."""
    course = get_course_for(request.user, pk)
    context: dict[str, Any] = {"course": course}
    if request.method == "POST":
        try:
            ends = "ends_with_term" in request.POST
            secret = make_wall_address(course=course, ends_with_term=ends, by=request.user)
        except ValidationError as refused:
            context["refusals"] = refused.messages
        else:
            address = request.build_absolute_uri(reverse("lessons:wall", args=[secret]))
            keep_to_show(request, "wall", pk, address=address, ends_with_term=ends)
            return redirect("lessons:course-wall", pk)
    if told := show_once(request, "wall", pk):
        context |= told | {"picture": qr_code(told["address"])}
    context["open"] = open_wall_addresses(course, today())
    return render(request, "lessons/course_wall.html", context)


@require_POST
def course_wall_withdraw(request: HttpRequest, pk: int, address: int) -> HttpResponse:
    course = get_course_for(request.user, pk)
    withdraw_wall_address(address=get_object_or_404(WallAddress, course=course, pk=address), by=request.user)
    messages.success(request, "The address is withdrawn: it opens nothing from now on.")
    return redirect("lessons:course-wall", pk)
