"""The school's own music: listed, added, changed, taken off the list."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from curriculum.models import Piece
from curriculum.music_page import piece_rows
from curriculum.piece_form import PieceForm
from curriculum.views.asking_first import asked_first
from school.errors import Overtaken
from school.kept_pages import kept_page
from school.methods import require_form
from school.refusals import carried_out
from school.removal import remove_unused
from school.sent import whole_number


@require_safe
@kept_page
def music(request: HttpRequest) -> HttpResponse:
    return render(request, "curriculum/music.html", {"rows": piece_rows()})


@require_form
def piece_new(request: HttpRequest) -> HttpResponse:
    form = PieceForm(request.POST or None, initial={"dance": whole_number(request.GET.get("dance"))})
    if request.method == "POST" and form.is_valid():
        messages.success(request, f"{form.write()} is on the list.")
        return redirect("curriculum:music")
    return render(request, "curriculum/piece_edit.html", {"form": form})


@require_form
def piece_edit(request: HttpRequest, pk: int) -> HttpResponse:
    piece, status = get_object_or_404(Piece, pk=pk), 200
    title = piece.title
    form = PieceForm(request.POST or None, instance=piece)
    if request.method == "POST" and form.is_valid():
        try:
            form.write()
        except Overtaken as overtaken:
            stands = Piece.objects.get(pk=pk)
            form = PieceForm({**request.POST.dict(), "version": stands.version}, instance=stands)
            form.add_error(None, overtaken.sentence)
            status = 409
        else:
            messages.success(request, "Saved.")
            return redirect("curriculum:music")
    context = {"form": form, "piece": piece, "name": title}
    return render(request, "curriculum/piece_edit.html", context, status=status)


@require_form
def piece_remove(request: HttpRequest, pk: int) -> HttpResponse:
    piece = get_object_or_404(Piece, pk=pk)
    if request.method != "POST":
        back = reverse("curriculum:piece-edit", args=[pk])
        follows = ("It cannot be brought back, only typed again.", "It stays while a run-sheet names it.")
        asks = f"Take {piece.title} off the list?"
        return asked_first(request, asks, follows, button="Take it off the list", back=back)
    if not carried_out(request, lambda: remove_unused(piece)):
        return redirect("curriculum:piece-edit", pk)
    messages.success(request, f"{piece.title} is off the list.")
    return redirect("curriculum:music")
