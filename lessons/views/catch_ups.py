"""A lesson caught up: what I missed, asking for a place, taking it back; the instructor's answer."""

from __future__ import annotations

from functools import partial

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from lessons.access import get_own_course_for, get_own_lesson_for
from lessons.actions.catch_ups import answer_catch_up, ask_catch_up, withdraw_catch_up
from lessons.models import CatchUp, LessonSession
from lessons.problems.wording import spoken_day
from lessons.students.catch_up_page import what_i_missed
from school.kept_pages import kept_page
from school.refusals import carried_out
from school.sent import whole_number
from school.views.own import way_back


@require_safe
@kept_page
def missed(request: HttpRequest, pk: int) -> HttpResponse:
    course = get_own_course_for(request.user, pk)
    context = {"course": course, "missed": what_i_missed(course, request.user)}
    return render(request, "lessons/missed.html", context)


@require_POST
def catch_up_ask(request: HttpRequest, pk: int) -> HttpResponse:
    """What is refused stands on the page again, in a sentence; nothing was written then."""
    course = get_own_course_for(request.user, pk)
    rows = LessonSession.objects.select_related("course")
    own = get_object_or_404(rows, course=course, pk=_number(request, "missed"))
    in_step = rows.filter(course__group=course.group_id, course__group__isnull=False)
    lesson = get_object_or_404(in_step, pk=_number(request, "lesson"))
    for_two = request.POST.get("for") == "both"
    ask = partial(ask_catch_up, lesson=lesson, missed=own, person=request.user, with_partner=for_two)
    if carried_out(request, ask):
        messages.success(
            request,
            f"You have asked for {spoken_day(lesson.date)}{' for both of you' if for_two else ''}. "
            f"The {'places are' if for_two else 'place is'} held until you are answered.",
        )
    return redirect("lessons:missed", pk)


@require_POST
def catch_up_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    catch_up = get_object_or_404(
        CatchUp.objects.select_related("lesson", "missed"), pk=pk, person=request.user
    )
    if carried_out(request, lambda: withdraw_catch_up(catch_up=catch_up)):
        messages.success(request, "Taken back. The place is free again.")
    return redirect(way_back(request))


@require_POST
def catch_up_answer(request: HttpRequest, pk: int) -> HttpResponse:
    """By those in front of the lesson, or the director."""
    catch_up = get_object_or_404(CatchUp.objects.select_related("lesson__course", "person"), pk=pk)
    get_own_lesson_for(request.user, catch_up.lesson_id)
    answer = request.POST.get("answer")
    if answer not in ("confirm", "decline"):
        messages.error(request, "Say whether there is a place or not.")
        return redirect("lessons:lesson", catch_up.lesson_id)
    confirms = answer == "confirm"
    carried_out(request, lambda: answer_catch_up(catch_up=catch_up, confirm=confirms, by=request.user))
    return redirect("lessons:lesson", catch_up.lesson_id)


def _number(request: HttpRequest, name: str) -> int:
    number = whole_number(request.POST.get(name))
    if number is None:
        raise Http404("no such lesson")
    return number
