"""The kind of one lesson, and who of several instructors shows and leads."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from lessons.access import get_lesson_for, get_own_lesson_for
from lessons.actions.kinds import set_kind, set_teaching_pair
from lessons.beside_sheet import pair_said
from lessons.cast import cast_of
from lessons.evening import tonight_of
from lessons.forms.kinds import KindForm, TeachingPairForm
from lessons.models import LessonKind
from lessons.shape_page import of_kind
from school.methods import require_form
from school.refusals import put_on_form


@require_form
def lesson_kind(request: HttpRequest, pk: int) -> HttpResponse:
    lesson = get_lesson_for(request.user, pk)
    form = KindForm(lesson, request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        kind = form.cleaned_data["kind"]
        try:
            set_kind(lesson=lesson, kind=kind, by=request.user)
        except ValidationError as refused:
            put_on_form(form, refused)
        else:
            messages.success(request, f"Kind of lesson: {LessonKind(kind).label}.")
            return redirect("lessons:lesson", pk)
    context = {"lesson": lesson, "form": form, "follows": of_kind(tonight_of(lesson))}
    return render(request, "lessons/lesson_kind.html", context)


@require_form
def teaching_pair(request: HttpRequest, pk: int) -> HttpResponse:
    lesson = get_own_lesson_for(request.user, pk)
    in_front = cast_of(lesson).instructors
    form = TeachingPairForm(lesson, in_front, request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        try:
            set_teaching_pair(lesson=lesson, **form.cleaned_data)
        except ValidationError as refused:
            put_on_form(form, refused)
        else:
            messages.success(request, pair_said(lesson, in_front))
            return redirect("lessons:lesson", pk)
    said = pair_said(lesson, in_front) or "One instructor is in front of this lesson."
    return render(request, "lessons/teaching_pair.html", {"lesson": lesson, "form": form, "follows": [said]})
