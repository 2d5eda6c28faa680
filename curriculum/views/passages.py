"""The ways in and out of a figure, all on one page."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from curriculum.access import get_figure_for
from curriculum.history_page import changes_since, who_was_first_since
from curriculum.models import Figure
from curriculum.passage_form import passage_forms
from curriculum.passage_writing import StillDanced, WayToWrite, save_passages
from curriculum.routine_recheck import Recheck
from school.errors import Overtaken
from school.methods import require_form
from school.models import Person
from school.sent import whole_number


@require_form
def passages(request: HttpRequest, pk: int) -> HttpResponse:
    figure = get_figure_for(request.user, pk)
    if figure.is_technique:
        raise Http404("a technique has no ways in and out")
    forms = passage_forms(figure, request.POST if request.method == "POST" else None)
    context: dict[str, Any] = {"figure": figure, "forms": forms, "version": figure.version}
    if request.method == "POST" and forms.is_valid():
        version = whole_number(request.POST.get("version")) or 0
        recheck = Recheck(figure.dance)
        try:
            _save(figure, version, forms, request.user)
        except Overtaken:
            figure.refresh_from_db()
            since = changes_since(figure, version)
            first = who_was_first_since(figure, version, request.user)
            context |= {"since": since, "who_was_first": first, "version": figure.version}
            return render(request, "curriculum/passages.html", context, status=409)
        else:
            if not forms.total_error_count():
                messages.success(request, "Saved.")
                for sentence in recheck.newly_broken():
                    messages.warning(request, sentence)
                return redirect("curriculum:figure", pk)
    return render(request, "curriculum/passages.html", context)


def _save(figure: Figure, version: int, forms: Any, by: Person) -> None:
    """Write the ways, or say at its form why one may not go."""
    changed = [form for form in forms if form.passage is not None or form.has_changed()]
    ways = [
        WayToWrite(
            key=None if form.passage is None else form.passage.pk,
            values=form.values,
            gone=bool(form.cleaned_data.get("remove")),
        )
        for form in changed
    ]
    try:
        save_passages(figure=figure, version=version, ways=ways, by=by)
    except StillDanced as refusal:
        form = next(form for form in changed if form.passage and form.passage.pk == refusal.key)
        form.add_error("remove", str(refusal))
