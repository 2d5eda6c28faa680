"""Pictures: a plan on one page, and the courses of a term under each other."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from lessons.access import get_plan_for
from lessons.board import board_of
from lessons.board.picture import picture_of
from lessons.board.term import Sought, term_sheet
from lessons.board.term_picture import term_picture
from school.models import Term

# Courses under each other in one picture: with more the bars are too low to read.
BANDS = 10


@require_safe
def plan_picture(request: HttpRequest, pk: int) -> HttpResponse:
    plan = get_plan_for(request.user, pk)
    board = board_of(plan)
    context = {"plan": plan, "board": board, "picture": picture_of(board)}
    return render(request, "lessons/plan_picture.html", context)


@require_safe
def term_loads(request: HttpRequest, pk: int) -> HttpResponse:
    term = get_object_or_404(Term, pk=pk)
    sheet = term_sheet(term, Sought(page=request.GET.get("page", "1")), lines=BANDS)
    context = {"term": term, "sheet": sheet, "picture": term_picture(sheet)}
    return render(request, "lessons/term_picture.html", context)
