"""A course: what it is, who is in it, its lessons and plans."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import BaseInlineFormSet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from lessons.access import get_course_for, may_record
from lessons.actions import courses as actions
from lessons.actions.course_set_up import MeetingsAsked, Saved, remove_course, save_course
from lessons.actions.errors import Overtaken
from lessons.board.course import course_page, saved_words
from lessons.courses.waiting_list import inside, why_it_waits
from lessons.forms.courses import CourseForm, Meetings
from lessons.forms.enrolling import EnrolForm
from lessons.models import Course, Enrolment
from lessons.timetable.course_change import LAYS_ANEW, CourseChange, course_change
from lessons.today.needs import before_a_course
from school.clock import today
from school.kept_pages import kept_page
from school.methods import require_form
from school.models import Term
from school.refusals import done, put_on_form
from school.sent import whole_number


@require_safe
@kept_page
def course(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_course_for(request.user, pk)
    return _page(request, shown, EnrolForm(course=shown) if request.user.is_director else None)


def _page(
    request: HttpRequest, shown: Course, form: EnrolForm | None, follows: Sequence[str] = ()
) -> HttpResponse:
    """The whole page, a refused form's too. follows: what is to be read before somebody is enrolled."""
    context = course_page(shown) | {"form": form, "follows": follows}
    if helpers := context["helpers"]:
        context["may_call"] = may_record(request.user, helpers.lesson)
    return render(request, "lessons/course.html", context)


@require_form
def course_new(request: HttpRequest) -> HttpResponse:
    wanted = whole_number(request.GET.get("term"))
    term = Term.objects.nearest(today()) if wanted is None else Term.objects.filter(pk=wanted).first()
    return _course_form(request, Course(), initial={"term": term})


@require_form
def course_edit(request: HttpRequest, pk: int) -> HttpResponse:
    return _course_form(request, get_course_for(request.user, pk))


@require_form
def course_remove(request: HttpRequest, pk: int) -> HttpResponse:
    removed = get_course_for(request.user, pk)
    form = forms.Form(request.POST if request.method == "POST" else None)
    if form.is_bound and done(form, lambda: remove_course(course=removed)):
        messages.success(request, f"{removed} is deleted.")
        return redirect("lessons:term", removed.term_id)
    return render(request, "lessons/course_remove.html", {"course": removed, "form": form})


def _course_form(request: HttpRequest, edited: Course, **options: object) -> HttpResponse:
    """First shows what follows; saves only what the director has seen."""
    shown = None if edited.pk is None else copy(edited)
    form = CourseForm(request.POST or None, instance=edited, **options)
    meetings = Meetings(request.POST or None, instance=edited)
    change = CourseChange()
    if request.method == "POST" and all([form.is_valid(), meetings.is_valid()]):
        asked, instructors = meetings.asked(), list(form.cleaned_data["instructors"])
        change = course_change(form.instance, asked, instructors, changed=form.changed_data)
        if change.to_read and not form.has_seen(change.to_read):
            form.ask(change.to_read, move=change.can_move)
        elif saved := _saved(form, meetings, asked):
            messages.success(request, saved_words(saved))
            return redirect("lessons:course", form.instance.pk)
    context = {"form": form, "meetings": meetings, "course": shown, "change": change}
    if shown is None:
        context["before"] = before_a_course()
    return render(request, "lessons/course_edit.html", context)


def _saved(form: CourseForm, meetings: BaseInlineFormSet, asked: MeetingsAsked) -> Saved | None:
    """Save; where somebody else saved first, say so on the form, where nothing typed is lost."""
    try:
        return save_course(
            course=form.save(commit=False),
            version=form.cleaned_data["version"],
            levels=form.cleaned_data["levels"],
            instructors=form.cleaned_data["instructors"],
            meetings=meetings,
            asked=asked,
            all_anew=form.instance.pk is None or bool(LAYS_ANEW.intersection(form.changed_data)),
            move_lessons=form.cleaned_data["move_lessons"],
        )
    except Overtaken:
        form.overtake(Course.objects.values_list("version", flat=True).get(pk=form.instance.pk))
        return None


@require_POST
def enrol(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_course_for(request.user, pk)
    form, follows = EnrolForm(request.POST, course=shown), []
    if form.is_valid():
        follows = form.follows()
        if follows and not form.has_seen(follows):
            form.show(follows)
        elif enrolled := _enrolled(form, shown):
            for enrolment in enrolled:
                messages.success(request, _where(enrolment))
            return redirect("lessons:course", pk)
    return _page(request, shown, form, follows)


def _where(enrolment: Enrolment) -> str:
    """In the course, or on its waiting list and why. One query where they wait."""
    person, course = enrolment.person, enrolment.course
    if not enrolment.waiting:
        return f"{person} is in {course}."
    why = why_it_waits(enrolment, inside(course))
    return f"{person} stands on the waiting list of {course}{f', because {why}' if why else ''}."


def _enrolled(form: EnrolForm, course: Course) -> tuple[Enrolment, ...]:
    """Those who were: one, or two who come together; nobody where the form has said why."""
    asked = {name: form.cleaned_data[name] for name in ("person", "role", "joined")}
    # That the course takes no newcomers any more has been read by now.
    asked["however_late"] = True
    try:
        if partner := form.cleaned_data["partner"]:
            return actions.enrol_couple(course=course, partner=partner, **asked)
        return (actions.enrol(course=course, dances_both=form.cleaned_data["dances_both"], **asked),)
    except ValidationError as refused:
        put_on_form(form, refused)
        return ()


@require_form
def enrolment_end(request: HttpRequest, pk: int) -> HttpResponse:
    enrolment = get_object_or_404(Enrolment.objects.select_related("course", "person"), pk=pk)
    get_course_for(request.user, enrolment.course_id)
    form = forms.Form(request.POST if request.method == "POST" else None)
    moved_up: list[Enrolment] = []
    if form.is_bound and done(form, lambda: moved_up.extend(actions.end_enrolment(enrolment=enrolment))):
        messages.success(request, f"{enrolment.person} has left {enrolment.course}.")
        for other in moved_up:
            messages.success(request, f"{other.person} comes off the waiting list.")
        return redirect("lessons:course", enrolment.course_id)
    context = {"enrolment": enrolment, "form": form, "next": actions.next_in_line(enrolment)}
    return render(request, "lessons/enrolment_end.html", context)
