"""A routine composed to measure for a level, and saved."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render

from curriculum.access import levels_for
from curriculum.compose_form import ComposeForm
from curriculum.compose_ways import ways_out
from curriculum.composing import composed, read_row
from curriculum.danceable_from import danceable_from
from curriculum.models import Level, Routine
from curriculum.routine_bench import Dances
from curriculum.routine_clock import moments_of
from curriculum.routine_writing import create_routine
from school.methods import require_form
from school.sent import whole_number


@require_form
def compose(request: HttpRequest, pk: int) -> HttpResponse:
    """What is asked for stands in the address, so that the same question gives the same answer again."""
    level = get_object_or_404(levels_for(request.user).select_related("dance"), pk=pk)
    name_wrong = ""
    if request.method == "POST":
        made, name_wrong = _save(request, level)
        if made is not None:
            return redirect("curriculum:routine-build", made.pk)
    asked = request.GET
    to_be = Routine(level=level, name="")
    moments = moments_of(to_be, request.user, asked.get("clock", ""))
    dances = Dances(to_be)
    form = ComposeForm(asked if "length" in asked else None, level=level, moments=moments, dances=dances)
    context: dict[str, Any] = {"level": level, "form": form, "moments": moments, "name_wrong": name_wrong}
    if form.is_bound and form.is_valid():
        wish = form.wish
        found = composed(level, wish, moments.chosen, dances)
        context |= {"found": found, "wish": wish, "another": _another(asked, wish.seed)}
        if found.strip is None:
            context["clashing"] = ways_out(
                asked, found.conflict, wish=wish, level=level, moments=moments, dances=dances
            )
        else:
            context["danceable_from"] = danceable_from(found.strip, moments.clocks)
    return render(request, "curriculum/compose.html", context)


def _save(request: HttpRequest, level: Level) -> tuple[Routine | None, str]:
    """The composed row as a routine; or None, with what is wrong with its name or with a message."""
    row = read_row(request.POST.get("row", ""))
    below = whole_number(request.POST.get("after"))
    continues = Routine.objects.filter(pk=below, level__dance=level.dance_id) if below is not None else None
    if row is None:
        messages.error(request, "The page you sent was not whole. Compose it again.")
        return None, ""
    try:
        made = create_routine(
            level=level,
            name=request.POST.get("name", "")[:80],
            by=request.user,
            continues=continues.first() if continues is not None else None,
            row=row,
        )
    except (ValidationError, ValueError) as refusal:
        if isinstance(refusal, ValidationError) and "name" in getattr(refusal, "error_dict", {}):
            return None, " ".join(refusal.message_dict["name"])
        said = refusal.messages if isinstance(refusal, ValidationError) else [str(refusal)]
        messages.error(request, " ".join(said))
        return None, ""
    messages.success(request, f"{made} is saved.")
    return made, ""


def _another(asked: QueryDict, seed: int) -> str:
    """The address of another proposal to the same question."""
    fields = {name: asked.getlist(name) for name in asked if name != "seed"}
    return urlencode(fields | {"seed": [str(seed + 1)]}, doseq=True)
