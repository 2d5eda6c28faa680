"""The list of helpers who can be called, and calling one for a lesson."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from lessons.access import get_own_lesson_for
from lessons.actions.helpers import (
    call_helper,
    call_off,
    list_helper,
    tell_called,
    tell_called_off,
    unlist_helper,
)
from lessons.forms.helpers import CallForm, HelperForm
from lessons.models import Helper, HelperCall
from lessons.problems.wording import spoken_day
from school.clock import today
from school.mails import IS_PRINTED, NO_MAIL_SERVER, Sent
from school.methods import require_form
from school.models import Person
from school.refusals import done, in_words
from school.views.own import way_back


@require_form
def helper(request: HttpRequest, pk: int) -> HttpResponse:
    """What one person can be called for."""
    person = get_object_or_404(Person.objects.not_erased().select_related("helper"), pk=pk)
    listed = getattr(person, "helper", None)
    form, differ = HelperForm(request.POST or None, helper=listed), None
    if form.is_valid():
        with transaction.atomic():
            Person.objects.select_for_update().get(pk=pk)
            stands = form.as_typed(Helper.objects.filter(person=person).first())
            differ = form.both_if_overtaken(stands)
            told = {name: form.cleaned_data[name] for name in stands}
            is_done = differ is None and done(
                form, lambda: list_helper(person=person, by=request.user, **told)
            )
        if is_done:
            messages.success(request, f"{person} can be called.")
            return redirect("lessons:teachers")
    context = {"form": form, "person": person, "helper": listed, "differ": differ}
    return render(request, "lessons/helper.html", context, status=200 if differ is None else 409)


@require_POST
def helper_off(request: HttpRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(Person.objects.not_erased(), pk=pk)
    unlist_helper(person=person, by=request.user)
    messages.success(request, f"{person} is called no more.")
    return redirect("lessons:teachers")


@require_POST
def helper_call(request: HttpRequest, pk: int) -> HttpResponse:
    """By those in front of the lesson, or the director."""
    lesson = get_own_lesson_for(request.user, pk)
    form = CallForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Choose one of those on the list of helpers.")
        return redirect(way_back(request))
    person, role = form.cleaned_data["person"], form.cleaned_data["role"]
    try:
        call = call_helper(lesson=lesson, person=person, role=role, by=request.user)
    except ValidationError as refused:
        messages.error(request, in_words(refused))
    else:
        sent = tell_called(call=call, lesson=lesson, by=request.user)
        called = f"{person} is called for {spoken_day(lesson.date)} as {call.get_role_display()}."
        _say(request, called, sent, person)
    return redirect(way_back(request))


@require_POST
def helper_call_off(request: HttpRequest, pk: int, call: int) -> HttpResponse:
    lesson = get_own_lesson_for(request.user, pk)
    off = get_object_or_404(HelperCall.objects.select_related("person"), lesson=lesson, pk=call)
    called_off = f"{off.person} is called off."
    if call_off(call=off, by=request.user) and lesson.date >= today():
        _say(request, called_off, tell_called_off(call=off, lesson=lesson), off.person)
    else:
        messages.success(request, called_off)
    return redirect(way_back(request))


def _say(request: HttpRequest, done: str, sent: Sent, person: Person) -> None:
    """What was done, and whether a mail went; else that somebody has to tell them."""
    whom = "the guardian" if person.is_minor else "them"
    if sent is Sent.MAILED:
        whose = "The guardian" if person.is_minor else person.first_name
        messages.success(request, f"{done} {whose} was told by e-mail, at {person.email}.")
        return
    why = {
        Sent.NOWHERE: "No e-mail address is kept, so no mail went.",
        Sent.NO_SERVER: f"No mail went: {NO_MAIL_SERVER}",
        Sent.PRINTED: f"No mail went: {NO_MAIL_SERVER} {IS_PRINTED}",
        Sent.FAILED: "The mail could not be sent.",
    }
    messages.warning(request, f"{done} {why[sent]} Tell {whom}.")
