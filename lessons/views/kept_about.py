"""What is kept about somebody: read and carried away by themselves, erased by a director."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from lessons.actions.erasing import ask_to_be_erased, erase, lessons_ahead, why_not_erased
from lessons.people.kept_about import kept_about
from lessons.people.kept_words import kept_in_words
from school.methods import require_form
from school.models import Person
from school.photographs import photographs_of


@require_safe
@never_cache
def mine(request: HttpRequest) -> HttpResponse:
    """All that is kept about whoever asks, on a page."""
    said = photographs_of([request.user])[request.user.pk]
    kept = kept_about(request.user)
    context = {"person": kept["person"], "kept": kept_in_words(kept), "said": said}
    return render(request, "lessons/kept_about.html", context)


@require_safe
@never_cache
def mine_as_file(request: HttpRequest) -> HttpResponse:
    answer = JsonResponse(kept_about(request.user), json_dumps_params={"indent": 2, "ensure_ascii": False})
    answer["Content-Disposition"] = 'attachment; filename="kept-about-me.json"'
    return answer


@require_form
def ask(request: HttpRequest) -> HttpResponse:
    """Ask to be erased, once what follows was read; or take it back."""
    if request.method != "POST":
        context = {"ahead": lessons_ahead(request.user), "refusal": why_not_erased(request.user)}
        return render(request, "lessons/kept_about_erase.html", context)
    wanted = "take-back" not in request.POST
    ask_to_be_erased(person=request.user, wanted=wanted)
    said = "The director reads that you ask to be erased." if wanted else "You no longer ask to be erased."
    messages.success(request, said)
    return redirect("lessons:kept-about-me")


@require_form
def person_erase(request: HttpRequest, pk: int) -> HttpResponse:
    """What goes and what stays is read first."""
    person = get_object_or_404(Person, pk=pk)
    refusal = why_not_erased(person)
    if request.method == "POST" and not refusal:
        name = person.name
        try:
            erase(person=person, by=request.user)
        except ValidationError as refused:
            refusal = refused.messages[0]
        else:
            messages.success(request, f"{name} is erased.")
            return redirect("school:people")
    status = 409 if request.method == "POST" else 200
    context = {"person": person, "refusal": refusal, "ahead": lessons_ahead(person)}
    return render(request, "lessons/person_erase.html", context, status=status)
