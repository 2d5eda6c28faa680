"""A level's routine: looked at, begun, named, deleted."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from curriculum.access import get_routine_for, levels_for
from curriculum.danceable_from import danceable_from
from curriculum.history_page import changes_since, who_was_first_since
from curriculum.models import Routine
from curriculum.music_page import pieces_for
from curriculum.removing import follows_routine
from curriculum.routine_forms import RoutineForm
from curriculum.routine_hooks import routine_notes
from curriculum.routine_look import look_of
from curriculum.routine_report import routine_page
from curriculum.routine_writing import create_routine, describe_routine, remove_routine
from curriculum.views.asking_first import asked_first
from school.errors import Overtaken
from school.kept_pages import kept_page
from school.methods import require_form
from school.refusals import carried_out


@require_safe
@kept_page
def routine(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_routine_for(request.user, pk)
    look = look_of(shown, request.user, request.GET)
    page = routine_page(shown, look.moments.chosen, tempo=look.tempo, seconds=look.seconds)
    sections = [section for write in routine_notes if (section := write(shown, request.user))]
    context = {
        "routine": shown,
        "page": page,
        "look": look,
        "sections": sections,
        "danceable_from": danceable_from(page.strip, look.moments.clocks),
        "pieces": pieces_for(page.strip.beats, shown.level.dance, page.again),
    }
    return render(request, "curriculum/routine.html", context)


@require_form
def routine_new(request: HttpRequest, pk: int) -> HttpResponse:
    level = get_object_or_404(levels_for(request.user).select_related("dance"), pk=pk)
    form = RoutineForm(request.POST or None, level=level)
    if request.method == "POST" and form.is_valid():
        try:
            made = create_routine(level=level, by=request.user, **_fields(form))
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            messages.success(request, f"{made} is begun. Now put in its first figure.")
            return redirect("curriculum:routine-build", made.pk)
    return render(request, "curriculum/routine_edit.html", {"form": form, "level": level})


@require_form
def routine_edit(request: HttpRequest, pk: int) -> HttpResponse:
    stands = get_routine_for(request.user, pk)
    form = RoutineForm(request.POST or None, instance=get_routine_for(request.user, pk), level=stands.level)
    context: dict[str, Any] = {"form": form, "routine": stands, "level": stands.level}
    if request.method == "POST" and form.is_valid():
        version = form.cleaned_data["version"] or 0
        try:
            describe_routine(routine=stands, version=version, by=request.user, **_fields(form))
        except ValidationError as refusal:
            form.add_error(None, refusal)
        except Overtaken:
            since = changes_since(stands, version)
            first = who_was_first_since(stands, version, request.user)
            context |= {"since": since, "who_was_first": first, "form": _with_version(form, stands)}
            return render(request, "curriculum/routine_edit.html", context, status=409)
        else:
            messages.success(request, "Saved.")
            return redirect("curriculum:routine-build", pk)
    return render(request, "curriculum/routine_edit.html", context)


@require_form
def routine_remove(request: HttpRequest, pk: int) -> HttpResponse:
    gone = get_routine_for(request.user, pk)
    if request.method != "POST":
        back = reverse("curriculum:routine-edit", args=[pk])
        asks, dance = f"Delete {gone.name}?", gone.level.dance
        return asked_first(
            request, asks, follows_routine(gone), button="Delete this routine", back=back, dance=dance
        )
    if not carried_out(request, lambda: remove_routine(gone)):
        return redirect("curriculum:routine-edit", pk)
    messages.success(request, f"{gone.name} is deleted.")
    return redirect("curriculum:dance", gone.level.dance_id)


def _fields(form: RoutineForm) -> dict[str, Any]:
    return {name: form.cleaned_data[name] for name in ("name", "note", "continues")}


def _with_version(form: RoutineForm, stands: Routine) -> RoutineForm:
    """What was typed, to be saved over what stands now."""
    stands.refresh_from_db()
    sent = {**form.data.dict(), "version": stands.version}
    return RoutineForm(sent, instance=form.instance, level=stands.level)
