"""A dance's holds: shown, added, changed, taken away."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from curriculum.access import get_dance_for
from curriculum.dance_writing import missing_usual_holds
from curriculum.hold_form import HoldForm, as_typed, as_usual
from curriculum.hold_writing import figures_using, remove_hold, write_hold
from curriculum.holds_page import hold_rows
from curriculum.models import Dance, Hold
from curriculum.routine_recheck import Recheck
from curriculum.views.asking_first import asked_first
from school.errors import Overtaken
from school.kept_pages import kept_page
from school.methods import require_form
from school.refusals import carried_out


@require_safe
@kept_page
def holds(request: HttpRequest, pk: int) -> HttpResponse:
    dance = get_dance_for(request.user, pk)
    context = {"dance": dance, "rows": hold_rows(dance), "missing": missing_usual_holds(dance)}
    return render(request, "curriculum/holds.html", context)


@require_form
def hold_new(request: HttpRequest, pk: int) -> HttpResponse:
    dance = get_dance_for(request.user, pk)
    return _edit(request, dance, None, as_usual(request.GET.get("name", "")[:60], dance))


@require_form
def hold_edit(request: HttpRequest, pk: int) -> HttpResponse:
    hold = get_object_or_404(Hold.objects.select_related("dance"), pk=pk)
    return _edit(request, hold.dance, hold)


@require_form
def hold_remove(request: HttpRequest, pk: int) -> HttpResponse:
    hold = get_object_or_404(Hold.objects.select_related("dance"), pk=pk)
    if request.method != "POST":
        back = reverse("curriculum:hold-edit", args=[pk])
        asks = f"Remove the hold {hold.name}?"
        follows = (
            "No other hold turns into it any more, nor it into another.",
            "It goes only while no way and no chart of a figure uses it.",
        )
        return asked_first(request, asks, follows, button="Remove this hold", back=back, dance=hold.dance)
    if not carried_out(request, lambda: remove_hold(hold)):
        return redirect("curriculum:hold-edit", pk)
    messages.success(request, f"{hold.name} is gone.")
    return redirect("curriculum:holds", hold.dance_id)


def _edit(
    request: HttpRequest, dance: Dance, hold: Hold | None, initial: dict[str, object] | None = None
) -> HttpResponse:
    name = hold.name if hold else ""
    form, differ = HoldForm(dance, request.POST or None, hold=hold, initial=initial), None
    if request.method == "POST" and form.is_valid():
        recheck = Recheck(dance)
        try:
            written = write_hold(dance=dance, hold=hold, **form.cleaned_data)
        except Overtaken:
            differ = form.differs_from(as_typed(hold))
        else:
            messages.success(request, f"{written} is saved.")
            for sentence in recheck.newly_broken():
                messages.warning(request, sentence)
            return redirect("curriculum:holds", dance.pk)
    context = {"form": form, "dance": dance, "hold": hold, "name": name, "differ": differ}
    if hold is not None:
        context["users"] = figures_using(hold)
    return render(request, "curriculum/hold_edit.html", context, status=200 if differ is None else 409)
