"""Who is away, and who does not teach what."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from lessons.actions.teachers import say_away, say_teaches, say_teaches_not, say_there
from lessons.forms.teachers import AwayForm, TeachesNotForm
from lessons.models import Away, TeachesNot
from lessons.people.helpers import helpers_listed
from lessons.people.nobody_in_front import lessons_nobody_takes
from school.clock import today
from school.kept_pages import kept_page
from school.refusals import done


@require_safe
@kept_page
def teachers(request: HttpRequest) -> HttpResponse:
    return _page(request)


@require_POST
def away_new(request: HttpRequest) -> HttpResponse:
    form = AwayForm(request.POST)
    if form.is_valid() and done(form, lambda: say_away(**form.cleaned_data, by=request.user)):
        said = "Plans that do not hold any more are planned again and wait for you on today’s page."
        messages.success(request, f"{form.cleaned_data['person']} is away then. {said}")
        return redirect("lessons:teachers")
    return _page(request, away_form=form)


@require_POST
def away_remove(request: HttpRequest, pk: int) -> HttpResponse:
    away = get_object_or_404(Away.objects.select_related("person"), pk=pk)
    say_there(away=away, by=request.user)
    messages.success(request, f"{away.person} is there after all.")
    return redirect("lessons:teachers")


@require_POST
def teaches_not_new(request: HttpRequest) -> HttpResponse:
    form = TeachesNotForm(request.POST)
    if form.is_valid() and done(
        form,
        lambda: say_teaches_not(person=form.cleaned_data["person"], **form.subject(), by=request.user),
    ):
        messages.success(request, f"Nobody gives that to {form.cleaned_data['person']} any more.")
        return redirect("lessons:teachers")
    return _page(request, teaches_not_form=form)


@require_POST
def teaches_not_remove(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(TeachesNot.objects.select_related("person", "dance", "level", "figure"), pk=pk)
    say_teaches(row=row, by=request.user)
    messages.success(request, f"{row.person} teaches it after all.")
    return redirect("lessons:teachers")


def _page(request: HttpRequest, **forms: Any) -> HttpResponse:
    """The lists; with the two forms for who may write."""
    context: dict[str, Any] = {
        "away": Away.objects.filter(last_day__gte=today())
        .select_related("person")
        .order_by("first_day", "pk"),
        "helpers": helpers_listed(),
        "teaches_not": TeachesNot.objects.select_related("person", "dance", "level", "figure"),
    }
    if request.user.is_director:
        context |= {"away_form": AwayForm(), "teaches_not_form": TeachesNotForm()} | forms
        context["bare"] = lessons_nobody_takes()
    return render(request, "lessons/teachers.html", context)
