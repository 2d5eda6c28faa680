"""A course: what it is, who is in it, its lessons and plans."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from lessons.access import get_course_for
from lessons.actions import courses as actions
from lessons.actions.course_set_up import save_course
from lessons.board.course import course_page
from lessons.forms.courses import CourseForm, EnrolForm, Meetings
from lessons.models import Course, Enrolment
from lessons.views.refusals import put_on_form
from school.clock import today
from school.models import Term


@require_safe
def course(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_course_for(request.user, pk)
    context = course_page(shown)
    if request.user.is_director:
        context["form"] = EnrolForm(course=shown)
    return render(request, "lessons/course.html", context)


@require_http_methods(["GET", "POST"])
def course_new(request: HttpRequest) -> HttpResponse:
    wanted = request.GET.get("term", "")
    term = Term.objects.filter(pk=wanted).first() if wanted.isdigit() else Term.objects.nearest(today())
    return _course_form(request, Course(), initial={"term": term})


@require_http_methods(["GET", "POST"])
def course_edit(request: HttpRequest, pk: int) -> HttpResponse:
    return _course_form(request, get_course_for(request.user, pk))


def _course_form(request: HttpRequest, edited: Course, **options: object) -> HttpResponse:
    is_new = edited.pk is None
    form = CourseForm(request.POST or None, instance=edited, **options)
    meetings = Meetings(request.POST or None, instance=edited)
    if request.method == "POST" and form.is_valid() and meetings.is_valid():
        saved = form.save(commit=False)
        laid = save_course(
            course=saved,
            levels=form.cleaned_data["levels"],
            instructors=form.cleaned_data["instructors"],
            meetings=meetings,
        )
        messages.success(request, f"Saved. {len(laid)} lessons were laid out." if laid else "Saved.")
        return redirect("lessons:course", saved.pk)
    context = {"form": form, "meetings": meetings, "course": None if is_new else edited}
    return render(request, "lessons/course_edit.html", context)


@require_POST
def enrol(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_course_for(request.user, pk)
    form = EnrolForm(request.POST, course=shown)
    if form.is_valid():
        try:
            enrolment = actions.enrol(course=shown, **form.cleaned_data)
        except ValidationError as refused:
            put_on_form(form, refused)
        else:
            where = "stands on the waiting list of" if enrolment.waiting else "is in"
            messages.success(request, f"{enrolment.person} {where} {shown}.")
            return redirect("lessons:course", pk)
    return render(request, "lessons/course.html", course_page(shown) | {"form": form})


@require_POST
def enrolment_end(request: HttpRequest, pk: int) -> HttpResponse:
    enrolment = get_object_or_404(Enrolment.objects.select_related("course", "person"), pk=pk)
    get_course_for(request.user, enrolment.course_id)
    try:
        moved_up = actions.end_enrolment(enrolment=enrolment)
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
    else:
        messages.success(request, f"{enrolment.person} has left {enrolment.course}.")
        for other in moved_up:
            messages.success(request, f"{other.person} comes off the waiting list.")
    return redirect("lessons:course", enrolment.course_id)
