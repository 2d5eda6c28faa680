"""A student's own mark and note on a figure they may read."""

from __future__ import annotations

import datetime as dt

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from curriculum.access import get_figure_for
from curriculum.models import Figure
from lessons.actions.errors import Overtaken
from lessons.actions.own_words import mark_figure, write_note
from lessons.device import is_sent_by_device
from lessons.forms.own_words import NoteForm
from lessons.models import OwnNote
from school.methods import require_form
from school.refusals import in_words
from school.sent import whole_number

# What a device says it has kept for longer counts as kept for so long.
_LONGEST = dt.timedelta(days=365)


@require_POST
def own_mark(request: HttpRequest, pk: int) -> HttpResponse:
    """A device that sends what it has kept is answered in JSON, and says for how long it has kept it."""
    figure = get_figure_for(request.user, pk)
    role, mark = request.POST.get("role", ""), request.POST.get("mark", "")
    try:
        mark_figure(person=request.user, figure=figure, role=role, mark=mark, waited=_waited(request))
    except ValidationError as refused:
        if is_sent_by_device(request):
            return JsonResponse({"asks": in_words(refused)})
        messages.error(request, in_words(refused))
    else:
        if is_sent_by_device(request):
            return JsonResponse({"goes_to": _section(figure)})
        if not mark:
            messages.success(request, "Your mark is taken away.")
    return redirect(_section(figure))


def _waited(request: HttpRequest) -> dt.timedelta:
    seconds = whole_number(request.POST.get("waited")) or 0
    return dt.timedelta(seconds=min(seconds, _LONGEST // dt.timedelta(seconds=1)))


@require_form
def own_note(request: HttpRequest, pk: int) -> HttpResponse:
    """A device that sends what it has kept is answered in JSON; what cannot be taken as it is it posts again
    under the same `submission`, and forgets once the form stands here with it."""
    figure = get_figure_for(request.user, pk)
    note = OwnNote.objects.filter(person=request.user, figure=figure).first()
    version = note.version if note else 0
    form = NoteForm(request.POST or None, initial={"text": note.text if note else "", "version": version})
    theirs = None
    if form.is_bound and form.is_valid():
        text, seen = form.cleaned_data["text"].strip(), form.cleaned_data["version"]
        try:
            write_note(person=request.user, figure=figure, text=text, version=seen)
        except Overtaken as overtaken:
            # Sent again it replaces the note that is shown here.
            form = NoteForm({"text": text, "version": version})
            form.add_error("text", str(overtaken))
            theirs = note
        else:
            messages.success(request, "Your note is kept." if text else "Your note is gone.")
            if is_sent_by_device(request):
                return JsonResponse({"goes_to": _section(figure)})
            return redirect(_section(figure))
    if form.is_bound and is_sent_by_device(request):
        return JsonResponse({"asks": " ".join(form.errors.get("text", ["Look at the note once more."]))})
    submission = request.POST.get("submission", "")
    context = {"figure": figure, "form": form, "theirs": theirs, "submission": submission}
    return render(request, "lessons/own_note.html", context)


def _section(figure: Figure) -> str:
    return f"{reverse('curriculum:figure', args=[figure.pk])}#mine"
