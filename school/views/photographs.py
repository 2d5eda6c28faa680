"""Consent to photographs: noted by a director who was told, or said by oneself."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from school.methods import require_form
from school.models import Person
from school.photographs import photographs_of, say
from school.refusals import carried_out
from school.views.own import way_back

ANSWERS = {"yes": True, "no": False}


@require_form
def photographs(request: HttpRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(Person.objects.not_erased(), pk=pk)
    answer = request.POST.get("answer", "")
    if request.method == "POST" and _said(request, person, answer):
        return redirect("school:person", pk)
    context = {
        "person": person,
        "said": photographs_of([person])[pk],
        "words": person.photo_words.order_by("-pk"),
    }
    return render(request, "school/photographs.html", context)


@require_POST
def my_photographs(request: HttpRequest) -> HttpResponse:
    """Back to where it was asked."""
    _said(request, request.user, request.POST.get("answer", ""))
    return redirect(way_back(request))


def _said(request: HttpRequest, person: Person, answer: str) -> bool:
    """Whether it was kept; what is wrong is said on the next page."""
    if answer not in ANSWERS:
        messages.error(request, "Say yes or no.")
        return False
    if not carried_out(request, lambda: say(person=person, agrees=ANSWERS[answer], by=request.user)):
        return False
    whose = "you" if person.pk == request.user.pk else str(person)
    messages.success(
        request,
        f"Kept: photographs of {whose} may be taken."
        if ANSWERS[answer]
        else f"Kept: no photographs of {whose}.",
    )
    return True
