"""Take this lesson for me: a link made and withdrawn by who gives the lesson, and the page it opens."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from lessons.access import get_lesson_by_link, get_own_lesson_for
from lessons.actions.covers import find_cover_link, make_cover_link, withdraw_cover_link
from lessons.evening.cover_page import cover_page
from lessons.models import CoverLink
from lessons.models.covers import link_ends
from lessons.run_sheet.ruler import ruled
from lessons.run_sheet.teaching import music_of, tempo_range
from lessons.timetable.hall import room_asks
from lessons.views.by_address import kept_to_itself
from school.methods import require_form
from school.refusals import in_words
from school.shown_once import keep_to_show, show_once


@require_safe
def cover(request: HttpRequest, token: str) -> HttpResponse:
    """Read without signing in. A link that is wrong, over or withdrawn is nothing at all, each alike."""
    link = find_cover_link(token)
    if link is None:
        raise Http404("no such page")
    page = cover_page(get_lesson_by_link(link), request.school, handed_on_by=link.made_by_id)
    context = {
        "page": page,
        "rows": ruled(page.sheet.rows),
        "room_rules": room_asks(page.lesson, people=page.people),
        "music": music_of(tempo_range(page.lesson.course.dance), also_new=True),
        "ends_at": link_ends(page.lesson),
    }
    return kept_to_itself(render(request, "lessons/cover.html", context))


@never_cache
@require_form
def cover_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Made by its form; the page it leads to shows the address once.

    The page keeps its own origin, unlike the one behind the link: a form on it is refused without.
    """
    lesson = get_own_lesson_for(request.user, pk)
    if request.method == "POST":
        try:
            link, secret = make_cover_link(lesson=lesson, by=request.user)
        except ValidationError as refused:
            messages.error(request, in_words(refused))
            return redirect("lessons:lesson", pk)
        address = request.build_absolute_uri(reverse("lessons:cover", args=[secret]))
        keep_to_show(request, "cover", pk, link=link.pk, address=address)
        return redirect("lessons:cover-new", pk)
    told = show_once(request, "cover", pk)
    link = lesson.cover_links.filter(pk=told.get("link")).first()
    if link is None:
        return redirect("lessons:lesson", pk)
    context = {"lesson": lesson, "link": link, "address": told["address"]}
    return render(request, "lessons/cover_new.html", context)


@require_POST
def cover_withdraw(request: HttpRequest, pk: int, link: int) -> HttpResponse:
    lesson = get_own_lesson_for(request.user, pk)
    withdraw_cover_link(link=get_object_or_404(CoverLink, lesson=lesson, pk=link), by=request.user)
    messages.success(request, "The link is withdrawn: it opens nothing from now on.")
    return redirect("lessons:lesson", pk)
