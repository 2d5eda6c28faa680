"""Inviting somebody, taking an invitation up, and beginning an empty school."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import login
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from school import first_start, invitations
from school.forms import InviteForm
from school.joining_forms import BeginForm, TakeUpForm
from school.mails import IS_PRINTED, NO_MAIL_SERVER, Sent, sends_mail
from school.methods import require_form
from school.models import Invitation, Person, Role
from school.qr import qr_code
from school.refusals import in_words
from school.shown_once import keep_to_show, show_once

BACKEND = "django.contrib.auth.backends.ModelBackend"


@require_form
def invite_new(request: HttpRequest) -> HttpResponse:
    form = InviteForm(request.POST or None, initial={"roles": [Role.STUDENT]})
    context = {"form": form, "sends_mail": sends_mail()}
    if request.method == "POST" and form.is_valid():
        follows = form.follows()
        if not follows or form.has_seen(follows):
            person, roles = form.save(commit=False), form.cleaned_data["roles"]
            made, secret = invitations.invite_new(person=person, roles=roles, by=request.user)
            return _made(request, made, secret)
        form.show(follows)
        return render(request, "school/invite.html", context | {"follows": follows})
    return render(request, "school/invite.html", context)


@require_POST
def invite_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Invite somebody who is there; a link they had before opens nothing from now on."""
    person = get_object_or_404(Person.objects.not_erased(), pk=pk)
    try:
        made, secret = invitations.invite(person=person, by=request.user)
    except ValidationError as refusal:
        messages.error(request, in_words(refusal))
        return redirect("school:person", pk)
    return _made(request, made, secret)


def _made(request: HttpRequest, made: Invitation, secret: str) -> HttpResponse:
    """Mail it where there is an address and a mail server, and on to the page that shows it once."""
    address = request.build_absolute_uri(reverse("school:join", args=[secret]))
    keep_to_show(request, "invitation", made.person_id, address=address)
    _say(request, invitations.post(invitation=made, address=address), made.person.email)
    return redirect("school:invitation", made.person_id)


def _say(request: HttpRequest, sent: Sent, to: str) -> None:
    """What became of the mail, truthfully; nothing where there was no address to send it to."""
    if sent is Sent.MAILED:
        messages.success(request, f"The invitation was mailed to {to}.")
    elif sent is Sent.FAILED:
        messages.error(request, "The mail could not be sent. Print the invitation, or copy the link.")
    elif sent is Sent.PRINTED:
        messages.warning(request, f"Nothing was sent to {to}: {NO_MAIL_SERVER} {IS_PRINTED}")
    elif sent is Sent.NO_SERVER:
        messages.warning(
            request, f"Nothing was sent to {to}: {NO_MAIL_SERVER} Print the invitation, or copy the link."
        )


@require_safe
@never_cache
def invitation(request: HttpRequest, pk: int) -> HttpResponse:
    """The link and its square, to be handed over or printed: once."""
    person = get_object_or_404(Person.objects.not_erased(), pk=pk)
    address = show_once(request, "invitation", pk).get("address")
    if address is None:
        return redirect("school:person", pk)
    made = person.invitations.all()[0]
    context = {"invitation": made, "person": person, "address": address, "square": qr_code(address)}
    return render(request, "school/invitation.html", context)


@require_POST
def withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(Person.objects.not_erased(), pk=pk)
    if invitations.withdraw(person=person, by=request.user):
        messages.success(request, f"{person}’s invitation opens nothing from now on.")
    else:
        messages.success(request, f"{person} had no open invitation.")
    return redirect("school:person", pk)


@require_form
@never_cache
def join(request: HttpRequest, secret: str) -> HttpResponse:
    """Whoever was invited chooses the name and password they sign in with, and is signed in."""
    invited = invitations.invitation_of(secret)
    if invited is None:
        raise Http404("no such invitation")
    context = {"invitation": invited, "person": invited.person, "refusal": invitations.why_not(invited)}
    if context["refusal"]:
        return render(request, "school/join.html", context, status=409)
    form = TakeUpForm(request.POST or None, instance=invited.person)
    if request.method == "POST" and form.is_valid():
        username, password = form.cleaned_data["username"], form.cleaned_data["new_password"]
        try:
            person = invitations.take_up(invitation=invited, username=username, password=password)
        except ValidationError as refusal:
            return render(request, "school/join.html", context | {"refusal": refusal.messages[0]}, status=409)
        login(request, person, backend=BACKEND)
        messages.success(request, f"Welcome, {person.first_name}. Next time you sign in as {username}.")
        return redirect("lessons:home")
    return render(request, "school/join.html", context | {"form": form})


@require_form
@never_cache
def begin(request: HttpRequest) -> HttpResponse:
    """The first page of an empty school; there is none once somebody is there."""
    if Person.objects.exists():
        raise Http404("begun already")
    form = BeginForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        given = {"code": form.cleaned_data["code"], "password": form.cleaned_data["new_password"]}
        try:
            person = first_start.begin(school=form.school(), person=form.save(commit=False), **given)
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            login(request, person, backend=BACKEND)
            return redirect("lessons:home")
    return render(request, "school/begin.html", {"form": form})
