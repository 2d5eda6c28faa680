"""The kind of one lesson, and who of several instructors shows and leads."""

from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from lessons.access import get_lesson_for, get_own_lesson_for
from lessons.actions.kinds import set_kind, set_teaching_pair
from lessons.evening.cast import cast_of
from lessons.evening.shape_page import of_kind
from lessons.evening.tonight import tonight_of
from lessons.forms.kinds import KindForm, TeachingPairForm
from lessons.models import LessonKind, LessonSession
from lessons.run_sheet.beside import pair_said
from school.methods import require_form
from school.refusals import done


@require_form
def lesson_kind(request: HttpRequest, pk: int) -> HttpResponse:
    lesson = get_lesson_for(request.user, pk)
    form = KindForm(lesson, request.POST if request.method == "POST" else None)
    differ = None
    if form.is_bound and form.is_valid():
        kind = form.cleaned_data["kind"]
        with transaction.atomic():
            differ = form.both_if_overtaken(form.as_typed(locked(lesson)))
            is_done = differ is None and done(
                form, lambda: set_kind(lesson=lesson, kind=kind, by=request.user)
            )
        if is_done:
            messages.success(request, f"Kind of lesson: {LessonKind(kind).label}.")
            return redirect("lessons:lesson", pk)
    context = {"lesson": lesson, "form": form, "follows": of_kind(tonight_of(lesson)), "differ": differ}
    return render(request, "lessons/lesson_kind.html", context, status=200 if differ is None else 409)


@require_form
def teaching_pair(request: HttpRequest, pk: int) -> HttpResponse:
    lesson = get_own_lesson_for(request.user, pk)
    in_front = cast_of(lesson).instructors
    form = TeachingPairForm(lesson, in_front, request.POST if request.method == "POST" else None)
    differ = None
    if form.is_bound and form.is_valid():
        pair = {name: form.cleaned_data[name] for name in ("shows", "leads")}
        with transaction.atomic():
            differ = form.both_if_overtaken(form.as_typed(locked(lesson)))
            is_done = differ is None and done(form, lambda: set_teaching_pair(lesson=lesson, **pair))
        if is_done:
            messages.success(request, pair_said(lesson, in_front))
            return redirect("lessons:lesson", pk)
    said = pair_said(lesson, in_front) or "One instructor is in front of this lesson."
    context = {"lesson": lesson, "form": form, "follows": [said], "differ": differ}
    return render(request, "lessons/teaching_pair.html", context, status=200 if differ is None else 409)


def locked(lesson: LessonSession) -> LessonSession:
    """The lesson as it stands, until the transaction ends."""
    return LessonSession.objects.select_for_update().get(pk=lesson.pk)
