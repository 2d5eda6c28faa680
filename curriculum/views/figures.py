"""One figure: read, new, changed."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from curriculum.access import get_dance_for, get_figure_for
from curriculum.figure_form import FigureForm, as_typed
from curriculum.figure_page import figure_page
from curriculum.figure_writing import both_versions, write_changed, write_new
from curriculum.history_page import who_was_first_since
from school.errors import Overtaken
from school.kept_pages import kept_page
from school.methods import require_form


@require_safe
@kept_page
def figure(request: HttpRequest, pk: int) -> HttpResponse:
    shown = figure_page(get_figure_for(request.user, pk), reader=request.user)
    return render(request, "curriculum/figure.html", {"page": shown, "figure": shown.figure})


@require_form
def figure_new(request: HttpRequest, pk: int) -> HttpResponse:
    dance = get_dance_for(request.user, pk)
    form = FigureForm(dance, request.POST or None, initial={"level": request.GET.get("level")})
    if request.method == "POST" and form.is_valid():
        try:
            made = write_new(form.cleaned_data, by=request.user)
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"{made} is the last figure of {made.level} now.")
            return redirect("curriculum:figure", made.pk)
    return render(request, "curriculum/figure_new.html", {"form": form, "dance": dance})


@require_form
def figure_edit(request: HttpRequest, pk: int) -> HttpResponse:
    changed = get_figure_for(request.user, pk)
    name = changed.name
    form = FigureForm(changed.dance, request.POST or None, figure=changed, initial=as_typed(changed))
    differ, first = None, ""
    if request.method == "POST" and form.is_valid():
        try:
            write_changed(changed, form.cleaned_data, by=request.user)
        except ValidationError as refusal:
            form.refuse(refusal)
        except Overtaken:
            seen = form.cleaned_data["version"] or 0
            first = who_was_first_since(changed, seen, request.user)
            form, differ = both_versions(changed.dance, request.POST, get_figure_for(request.user, pk))
        else:
            messages.success(request, "Saved.")
            return redirect("curriculum:figure", pk)
    context = {"form": form, "figure": changed, "name": name, "differ": differ, "who_was_first": first}
    return render(request, "curriculum/figure_edit.html", context, status=200 if differ is None else 409)
