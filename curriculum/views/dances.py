"""The dances, one dance as a ladder of levels, and new ones."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Count, Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from curriculum.access import get_dance_for
from curriculum.dance_writing import change_dance, fingerprint, missing_usual_holds, remove_dance
from curriculum.forms import DanceChangeForm, DanceForm, LevelForm, as_started
from curriculum.ladder_page import ladder_of
from curriculum.models import Dance, Level
from curriculum.standard import DANCES, standard_dance
from curriculum.views.asking_first import asked_first
from school.errors import Overtaken
from school.kept_pages import kept_page
from school.methods import require_form
from school.refusals import carried_out


@require_safe
@kept_page
def dances(request: HttpRequest) -> HttpResponse:
    levels = Level.objects.annotate(number_of_figures=Count("figures")).order_by("rank")
    shown = Dance.objects.prefetch_related(Prefetch("levels", levels))
    return render(request, "curriculum/dances.html", {"dances": shown})


@require_safe
@kept_page
def dance(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_dance_for(request.user, pk)
    words, level = request.GET.get("q", "").strip(), request.GET.get("level", "")
    ladder = ladder_of(shown, reader=request.user, words=words, level=level)
    return render(request, "curriculum/dance.html", {"dance": shown, "ladder": ladder})


@require_form
def dance_new(request: HttpRequest) -> HttpResponse:
    start = standard_dance(request.POST.get("start") or request.GET.get("start", ""))
    form = DanceForm(request.POST or None, initial=as_started(start) if start else None)
    if request.method == "POST" and form.is_valid() and (made := form.make()):
        messages.success(request, f"{made} is there, with the usual holds and rhythms. Now its figures.")
        return redirect("curriculum:dance", made.pk)
    return render(request, "curriculum/dance_new.html", {"form": form, "start": start, "common": DANCES})


@require_form
def dance_edit(request: HttpRequest, pk: int) -> HttpResponse:
    shown, differ = get_dance_for(request.user, pk), None
    form = DanceChangeForm(request.POST or None, instance=get_dance_for(request.user, pk))
    if request.method == "POST" and form.is_valid():
        try:
            fields = {name: value for name, value in form.cleaned_data.items() if name != "began_from"}
            changed = change_dance(shown, **fields)
        except ValidationError as refusal:
            form.add_error(None, refusal)
        except Overtaken:
            shown = get_dance_for(request.user, pk)
            differ = form.differs_from(form.shown_of(shown))
            form.data["seen"] = fingerprint(shown)
        else:
            messages.success(request, "Saved.")
            if missing := missing_usual_holds(changed):
                names = ", ".join(f"“{hold.name}”" for hold in missing)
                messages.warning(request, f"On this floor {names} is usual too. It can be added under Holds.")
            return redirect("curriculum:dance", pk)
    return render(
        request,
        "curriculum/dance_edit.html",
        {"form": form, "dance": shown, "differ": differ},
        status=200 if differ is None else 409,
    )


@require_form
def dance_remove(request: HttpRequest, pk: int) -> HttpResponse:
    gone = get_dance_for(request.user, pk)
    if request.method != "POST":
        back = reverse("curriculum:dance-edit", args=[pk])
        follows = (
            "Its levels, holds and rhythms go with it, and cannot be brought back.",
            "It goes only while it has no figure, no routine and no music, and no course teaches it.",
        )
        asks = f"Delete {gone.name}?"
        return asked_first(request, asks, follows, button=f"Delete {gone.name}", back=back, dance=gone)
    if not carried_out(request, lambda: remove_dance(gone)):
        return redirect("curriculum:dance-edit", pk)
    messages.success(request, f"{gone.name} is deleted.")
    return redirect("curriculum:dances")


@require_form
def level_new(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_dance_for(request.user, pk)
    form = LevelForm(request.POST or None)
    if request.method == "POST" and form.is_valid() and (made := form.make(shown)):
        messages.success(request, f"{made} is the highest level of {shown} now.")
        return redirect("curriculum:dance", pk)
    return render(request, "curriculum/level_new.html", {"form": form, "dance": shown})
