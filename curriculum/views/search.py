"""One box that finds a figure by any of its names."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from curriculum.search import find_figures
from school.kept_pages import kept_page


@require_safe
@kept_page
def figures(request: HttpRequest) -> HttpResponse:
    finds = find_figures(request.GET.get("q", ""), reader=request.user)
    return render(request, "curriculum/figures.html", {"finds": finds})
