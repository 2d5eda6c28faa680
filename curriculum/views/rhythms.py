"""A dance's rhythms and its tempo range: shown, added, changed, taken away."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from curriculum.access import get_dance_for
from curriculum.forms import TempoForm
from curriculum.models import Dance, Rhythm
from curriculum.rhythm_form import RhythmForm, as_typed
from curriculum.rhythm_writing import write_rhythm
from curriculum.rhythms_page import rhythm_rows, tempo_range, unusual_of
from curriculum.views.asking_first import asked_first
from school.errors import Overtaken
from school.kept_pages import kept_page
from school.methods import require_form


@require_safe
@kept_page
def rhythms(request: HttpRequest, pk: int) -> HttpResponse:
    dance = get_dance_for(request.user, pk)
    context = {"dance": dance, "rows": rhythm_rows(dance), "tempo": tempo_range(dance)}
    return render(request, "curriculum/rhythms.html", context)


@require_form
def rhythm_new(request: HttpRequest, pk: int) -> HttpResponse:
    return _edit(request, get_dance_for(request.user, pk), None)


@require_form
def rhythm_edit(request: HttpRequest, pk: int) -> HttpResponse:
    rhythm = get_object_or_404(Rhythm.objects.select_related("dance"), pk=pk)
    return _edit(request, rhythm.dance, rhythm)


@require_form
def rhythm_remove(request: HttpRequest, pk: int) -> HttpResponse:
    rhythm = get_object_or_404(Rhythm.objects.select_related("dance"), pk=pk)
    if request.method != "POST":
        back = reverse("curriculum:rhythm-edit", args=[pk])
        asks = f"Remove the rhythm {rhythm.name}?"
        follows = ("It is no longer offered where a chart is typed. Charts keep their counts.",)
        return asked_first(request, asks, follows, button="Remove this rhythm", back=back, dance=rhythm.dance)
    rhythm.delete()
    messages.success(request, f"{rhythm.name} is gone. Charts keep their counts.")
    return redirect("curriculum:rhythms", rhythm.dance_id)


@require_form
def tempo(request: HttpRequest, pk: int) -> HttpResponse:
    dance = get_dance_for(request.user, pk)
    form, differ = TempoForm(request.POST or None, instance=get_dance_for(request.user, pk)), None
    if request.method == "POST" and form.is_valid():
        differ = form.save_or_show_both()
        if differ is None:
            messages.success(request, "Saved.")
            return redirect("curriculum:rhythms", pk)
    context = {"form": form, "dance": dance, "differ": differ}
    return render(request, "curriculum/tempo.html", context, status=200 if differ is None else 409)


def _edit(request: HttpRequest, dance: Dance, rhythm: Rhythm | None) -> HttpResponse:
    form, differ = RhythmForm(dance, request.POST or None, rhythm=rhythm), None
    if request.method == "POST" and form.is_valid():
        try:
            written = write_rhythm(dance=dance, rhythm=rhythm, data=form.cleaned_data)
        except Overtaken:
            differ = form.differs_from(as_typed(rhythm))
        else:
            _say_saved(request, written, dance)
            return redirect("curriculum:rhythms", dance.pk)
    context = {"form": form, "dance": dance, "rhythm": rhythm, "differ": differ}
    return render(request, "curriculum/rhythm_edit.html", context, status=200 if differ is None else 409)


def _say_saved(request: HttpRequest, rhythm: Rhythm, dance: Dance) -> None:
    if unusual_of(rhythm, dance):
        messages.warning(request, f"{rhythm} is saved. It is unusual: look at what is said of it below.")
    else:
        messages.success(request, f"{rhythm} is saved.")
