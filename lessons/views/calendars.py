"""A person's calendar: the page that gives its address, and the calendar behind the address."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from lessons.actions.addresses import end_calendar_address, find_calendar_address, renew_calendar_address
from lessons.models import CalendarAddress
from lessons.people.calendar_feed import calendar_feed
from lessons.views.by_address import kept_to_itself
from school.methods import require_form
from school.shown_once import keep_to_show, show_once


@never_cache
@require_form
def my_calendar(request: HttpRequest) -> HttpResponse:
    """The address is shown once, after it was made."""
    if request.method == "POST" and "end" in request.POST:
        end_calendar_address(person=request.user)
        messages.success(request, "The address opens nothing any more.")
        return redirect("lessons:my-calendar")
    if request.method == "POST":
        secret = renew_calendar_address(person=request.user)
        address = request.build_absolute_uri(reverse("lessons:calendar", args=[secret]))
        keep_to_show(request, "calendar", request.user.pk, address=address)
        return redirect("lessons:my-calendar")
    made = CalendarAddress.objects.filter(person=request.user).first()
    context = {"made": made} | show_once(request, "calendar", request.user.pk)
    return render(request, "lessons/my_calendar.html", context)


@require_safe
def calendar(request: HttpRequest, secret: str) -> HttpResponse:
    """Read without signing in. An address that was renewed or never was is nothing at all, both alike."""
    address = find_calendar_address(secret)
    if address is None:
        raise Http404("no such page")
    answer = HttpResponse(calendar_feed(address, request.school), content_type="text/calendar; charset=utf-8")
    answer["Content-Disposition"] = 'inline; filename="lessons.ics"'
    return kept_to_itself(answer)
