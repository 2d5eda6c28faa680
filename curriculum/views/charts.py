"""Step charts: typed into a grid, checked, saved as one."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from curriculum.access import get_chart_for, get_figure_for
from curriculum.chart_editor import ChartEditor
from curriculum.chart_writing import remove_chart
from curriculum.history_page import who_was_first_since
from curriculum.models import Figure, StepChart
from curriculum.routine_recheck import Recheck
from school.errors import Overtaken
from school.methods import require_form
from school.sent import whole_number


@require_form
def chart_new(request: HttpRequest, pk: int) -> HttpResponse:
    figure = get_figure_for(request.user, pk)
    if figure.is_technique:
        raise Http404("a technique has no chart")
    return _chart(request, figure, None)


@require_form
def chart_edit(request: HttpRequest, pk: int) -> HttpResponse:
    chart = get_chart_for(request.user, pk)
    figure = get_figure_for(request.user, chart.figure_id)
    if request.method == "POST" and request.POST.get("do") == "take-away":
        return _take_away(request, figure, chart)
    return _chart(request, figure, chart)


def _chart(request: HttpRequest, figure: Figure, chart: StepChart | None) -> HttpResponse:
    editor = ChartEditor(figure, chart, request.POST if request.method == "POST" else None)
    status, first = 200, ""
    what = request.POST.get("do", "save")
    if request.method == "POST" and what != "save":
        editor.do(what)
    elif request.method == "POST" and editor.may_be_saved():
        recheck = Recheck(figure.dance)
        try:
            editor.save(request.user)
        except Overtaken:
            seen = whole_number(request.POST.get("version")) or 0
            first = who_was_first_since(figure, seen, request.user)
            editor.overtaken()
            status = 409
        else:
            if editor.is_sound:
                messages.success(request, "Saved.")
            else:
                messages.warning(request, "Saved as it is. It is not sound yet.")
            for sentence in recheck.newly_broken():
                messages.warning(request, sentence)
            return redirect("curriculum:figure", figure.pk)
    template = "curriculum/_chart_facts.html" if request.htmx else "curriculum/chart_edit.html"
    context = {"editor": editor, "figure": figure, "who_was_first": first}
    return render(request, template, context, status=status)


def _take_away(request: HttpRequest, figure: Figure, chart: StepChart) -> HttpResponse:
    version = whole_number(request.POST.get("version")) or 0
    try:
        remove_chart(figure=figure, chart=chart, version=version, by=request.user)
    except Overtaken as overtaken:
        messages.error(request, overtaken.sentence)
        return redirect("curriculum:chart-edit", chart.pk)
    messages.success(request, "The chart is taken away. The figure’s history keeps it.")
    return redirect("curriculum:figure", figure.pk)
