"""The prerequisite map of a dance, of the levels its reader may see."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from curriculum.access import get_dance_for, levels_for
from curriculum.map_picture import dance_map
from school.kept_pages import kept_page


@require_safe
@kept_page
def prerequisite_map(request: HttpRequest, pk: int) -> HttpResponse:
    dance = get_dance_for(request.user, pk)
    levels = tuple(levels_for(request.user).filter(dance=dance))
    return render(request, "curriculum/map.html", {"dance": dance, "map": dance_map(dance, levels)})
