"""A student's own mark and note on a figure they may read."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from curriculum.access import get_figure_for
from curriculum.models import Figure
from lessons.actions.errors import Overtaken
from lessons.actions.own_words import mark_figure, write_note
from lessons.forms.own_words import NoteForm
from lessons.models import OwnNote
from school.methods import require_form
from school.refusals import carried_out


@require_POST
def own_mark(request: HttpRequest, pk: int) -> HttpResponse:
    figure = get_figure_for(request.user, pk)
    role, mark = request.POST.get("role", ""), request.POST.get("mark", "")
    carried_out(request, lambda: mark_figure(person=request.user, figure=figure, role=role, mark=mark))
    return redirect(_section(figure))


@require_form
def own_note(request: HttpRequest, pk: int) -> HttpResponse:
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
            form = NoteForm(request.POST | {"version": version})
            form.add_error("text", str(overtaken))
            theirs = note
        else:
            messages.success(request, "Your note is kept." if text else "Your note is gone.")
            return redirect(_section(figure))
    return render(request, "lessons/own_note.html", {"figure": figure, "form": form, "theirs": theirs})


def _section(figure: Figure) -> str:
    return f"{reverse('curriculum:figure', args=[figure.pk])}#mine"
