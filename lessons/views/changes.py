"""A lesson is cancelled, takes place after all, is moved or given away; what follows is said first."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from lessons.access import get_lesson_for
from lessons.actions.changes import cancel_lesson, check_move, give_lesson, move_lesson, restore_lesson
from lessons.evening.cast import cast_of, people_in
from lessons.evening.tonight import tonight_of
from lessons.forms.changes import CancelForm, GiveForm, MoveForm, RestoreForm
from lessons.models import LessonSession
from lessons.people.free_to_cover import free_to_cover
from lessons.people.helpers import calls_for
from lessons.problems import spoken_day
from lessons.timetable.consequences import of_cancelling, of_giving, of_moving, of_restoring, planned_there
from school.methods import require_form
from school.refusals import done
from school.second_writer import BothVersions


@require_form
def lesson_cancel(request: HttpRequest, pk: int) -> HttpResponse:
    lesson = get_lesson_for(request.user, pk)
    form = CancelForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        because = form.cleaned_data["because"]
        if done(form, lambda: cancel_lesson(lesson=lesson, because=because, by=request.user)):
            messages.success(request, f"No class on {spoken_day(lesson.date)}: {because}.")
            return redirect("lessons:lesson", pk)
    follows = of_cancelling(tonight_of(lesson), cast_of(lesson))
    return _page(request, lesson, form, "cancel", follows)


@require_form
def lesson_restore(request: HttpRequest, pk: int) -> HttpResponse:
    """A cancelled lesson takes place after all."""
    lesson = get_lesson_for(request.user, pk)
    form = RestoreForm(request.POST if request.method == "POST" else None)
    if form.is_bound and done(form, lambda: restore_lesson(lesson=lesson, by=request.user)):
        messages.success(request, f"The lesson of {spoken_day(lesson.date)} takes place after all.")
        return redirect("lessons:lesson", pk)
    return _page(request, lesson, form, "restore", of_restoring(tonight_of(lesson), cast_of(lesson)))


@require_form
def lesson_move(request: HttpRequest, pk: int) -> HttpResponse:
    lesson = get_lesson_for(request.user, pk)
    form = MoveForm(lesson, request.POST if request.method == "POST" else None)
    follows: list[str] = []
    if form.is_bound and form.is_valid():
        if (differ := form.both_if_overtaken(form.as_typed(lesson))) is not None:
            return _page(request, lesson, form, "move", planned_there(tonight_of(lesson)), differ=differ)
        to = {name: form.cleaned_data[name] for name in ("date", "start", "room")}
        # What cannot be is refused before anything is asked.
        if done(form, lambda: check_move(lesson=lesson, **to)):
            people = people_in(cast_of(lesson), calls_for(lesson))
            follows = of_moving(lesson, **to, people=people)
            if follows and not form.has_seen(follows):
                form.show(follows)
                return _page(request, lesson, form, "move", follows, asks_again=True)
            if done(form, lambda: move_lesson(lesson=lesson, by=request.user, **to)):
                messages.success(
                    request, f"Moved to {spoken_day(to['date'])}, {to['start']:%H:%M}, {to['room']}."
                )
                return redirect("lessons:lesson", pk)
    return _page(request, lesson, form, "move", follows or planned_there(tonight_of(lesson)))


@require_form
def lesson_give(request: HttpRequest, pk: int) -> HttpResponse:
    lesson = get_lesson_for(request.user, pk)
    given = request.POST if request.method == "POST" else None
    form = GiveForm(lesson, given, candidates=free_to_cover(lesson))
    if form.is_bound and form.is_valid():
        if (differ := form.both_if_overtaken(form.as_typed(lesson))) is not None:
            return _page(request, lesson, form, "give", of_giving(cast_of(lesson)), differ=differ)
        to = form.cleaned_data["to"]
        if done(form, lambda: give_lesson(lesson=lesson, to=to, by=request.user)):
            messages.success(request, f"{to} takes the lesson of {spoken_day(lesson.date)}.")
            return redirect("lessons:lesson", pk)
    return _page(request, lesson, form, "give", of_giving(cast_of(lesson)))


def _page(
    request: HttpRequest,
    lesson: LessonSession,
    form: forms.Form,
    change: str,
    follows: list[str],
    *,
    asks_again: bool = False,
    differ: tuple[BothVersions, ...] | None = None,
) -> HttpResponse:
    context = {
        "lesson": lesson,
        "form": form,
        "follows": follows,
        "asks_again": asks_again,
        "differ": differ,
    }
    return render(request, f"lessons/lesson_{change}.html", context, status=200 if differ is None else 409)
