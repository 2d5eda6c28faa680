"""Private lessons: the list, a new one, and what became of one."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from lessons.access import get_private_lesson_for
from lessons.actions.errors import Overtaken
from lessons.actions.private import record_private, remove_private, save_private
from lessons.forms.private import PrivateForm, PrivateRecord
from lessons.models import PrivateLesson
from lessons.students.private_lessons import homework_before, private_list
from school.clock import today
from school.kept_pages import kept_page
from school.methods import require_form
from school.refusals import put_on_form
from school.sent import whole_number


@require_safe
@kept_page
def private_lessons(request: HttpRequest) -> HttpResponse:
    return render(request, "lessons/private_lessons.html", {"list": private_list(request.user)})


@require_form
def private_new(request: HttpRequest) -> HttpResponse:
    return _edit(request, PrivateLesson(date=today()))


@require_form
def private_edit(request: HttpRequest, pk: int) -> HttpResponse:
    return _edit(request, get_private_lesson_for(request.user, pk))


def _edit(request: HttpRequest, lesson: PrivateLesson) -> HttpResponse:
    version = lesson.version if lesson.pk else 0
    form = PrivateForm(request.user, request.POST or None, instance=lesson)
    to_read: tuple[str, ...] = ()
    if form.is_bound and form.is_valid():
        to_read = form.to_read
        if to_read and not form.has_seen(to_read):
            form.show(to_read)
        elif _is_saved(request, form, version):
            return redirect("lessons:private-lesson", form.instance.pk)
    context = {"form": form, "lesson": lesson, "version": version, "to_read": to_read}
    return render(request, "lessons/private_edit.html", context)


def _is_saved(request: HttpRequest, form: PrivateForm, version: int) -> bool:
    """What refuses it stands on the form."""
    seen, figures = _seen(request, version), form.cleaned_data["figures"]
    try:
        save_private(lesson=form.instance, version=seen, figures=figures, by=request.user)
    except (Overtaken, ValidationError) as refused:
        put_on_form(form, refused)
        return False
    return True


@require_form
def private_lesson(request: HttpRequest, pk: int) -> HttpResponse:
    """Read before the lesson, written up after it."""
    lesson = get_private_lesson_for(request.user, pk)
    record = PrivateRecord(lesson, lesson.worked_on.all(), request.POST or None)
    refusals: list[str] = []
    if request.method == "POST" and record.is_valid():
        try:
            record_private(
                lesson=lesson,
                version=_seen(request, lesson.version),
                outcomes=record.outcomes,
                homework=record.homework,
                early=record.early,
                by=request.user,
            )
        except Overtaken as overtaken:
            refusals = [str(overtaken)]
        except ValidationError as refused:
            refusals = record.refuse(refused)
        else:
            messages.success(request, f"Written up for {lesson.person}.")
            return redirect("lessons:private-lessons")
    context = {"lesson": lesson, "record": record, "refusals": refusals, "is_to_come": lesson.date > today()}
    context["set_before"] = homework_before(lesson)
    return render(request, "lessons/private_lesson.html", context)


@require_form
def private_remove(request: HttpRequest, pk: int) -> HttpResponse:
    lesson = get_private_lesson_for(request.user, pk)
    refusals: list[str] = []
    if request.method == "POST":
        try:
            remove_private(lesson=lesson, version=_seen(request, lesson.version), by=request.user)
        except Overtaken as overtaken:
            refusals = [str(overtaken)]
        except ValidationError as refused:
            refusals = refused.messages
        else:
            messages.success(request, "The private lesson is taken out.")
            return redirect("lessons:private-lessons")
    return render(request, "lessons/private_remove.html", {"lesson": lesson, "refusals": refusals})


def _seen(request: HttpRequest, version: int) -> int:
    """Of the lesson the writer was looking at; a form without one speaks of what stands."""
    said = whole_number(request.POST.get("version"))
    return version if said is None else said
