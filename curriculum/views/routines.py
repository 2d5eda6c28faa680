"""A level's routine, with every figure up to its level taken as taught; a course shows its own."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from curriculum import problems
from curriculum.access import get_routine_for
from curriculum.models import Figure
from curriculum.strip import StripJoin, end_of, routine_strip
from school.kept_pages import kept_page


@require_safe
@kept_page
def routine(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_routine_for(request.user, pk)
    level = shown.level
    taught = Figure.objects.filter(dance=level.dance_id, level__rank__lte=level.rank)
    strip = routine_strip(shown, taught=frozenset(taught.values_list("name", flat=True)))
    context = {"routine": shown, "strip": strip}
    if shown.continues is not None:
        join = problems.join_from_below(shown)
        context |= {"below_ends": end_of(shown.continues), "below_join": StripJoin.of(join) if join else None}
    return render(request, "curriculum/routine.html", context)
