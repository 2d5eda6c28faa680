"""A curriculum out as one file and in again: chosen, previewed, confirmed."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from curriculum.access import get_dance_for
from curriculum.models import Dance
from curriculum.spreadsheet.carry import NothingCarried
from curriculum.travel.apply import PreviewOvertaken, take_in
from curriculum.travel.carry import pack, unpack
from curriculum.travel.changes import Changes, compare
from curriculum.travel.collect import curriculum_of
from curriculum.travel.reading import MOST_BYTES, TOO_LARGE, read_file
from curriculum.travel.values import UnusableFile
from curriculum.travel.writing import write_file
from school.methods import require_form
from school.plain_forms import PlainWords


class CurriculumFileForm(PlainWords, forms.Form):
    file = forms.FileField(
        label="File",
        help_text="A curriculum file (JSON) that Freefoot wrote; up to 20 MB.",
        allow_empty_file=True,
        widget=forms.ClearableFileInput(attrs={"accept": ".json,application/json"}),
    )

    def clean_file(self) -> bytes:
        if self.cleaned_data["file"].size > MOST_BYTES:
            raise forms.ValidationError(TOO_LARGE)
        data: bytes = self.cleaned_data["file"].read()
        return data


@require_form
def bring_in(request: HttpRequest) -> HttpResponse:
    form = (
        CurriculumFileForm(request.POST, request.FILES) if request.method == "POST" else CurriculumFileForm()
    )
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data["file"]
        try:
            wanted, mistakes = read_file(data)
            _, changes = compare(wanted, curriculum_of(Dance.objects.all()), mistakes)
            return _preview(request, data, changes)
        except UnusableFile as refusal:
            form.add_error("file", str(refusal))
    return render(request, "curriculum/file.html", {"form": form})


@require_POST
def confirm(request: HttpRequest) -> HttpResponse:
    try:
        data, fingerprint = unpack(request.POST.get("carried", ""), person=request.user.pk)
        changes = take_in(data=data, fingerprint=fingerprint, by=request.user)
    except NothingCarried as refusal:
        messages.error(request, str(refusal))
        return redirect("curriculum:file-in")
    except PreviewOvertaken as overtaken:
        return _preview(request, data, overtaken.changes, overtaken=True)
    messages.success(request, f"Written: {changes.in_words or 'nothing'}.")
    return redirect("curriculum:dances")


@require_safe
def take_out(request: HttpRequest) -> HttpResponse:
    return _file(Dance.objects.all(), "curriculum")


@require_safe
def take_dance_out(request: HttpRequest, pk: int) -> HttpResponse:
    dance = get_dance_for(request.user, pk)
    return _file(Dance.objects.filter(pk=pk), dance.name)


def _file(dances: QuerySet[Dance], name: str) -> HttpResponse:
    disposition = {"Content-Disposition": f'attachment; filename="{slugify(name) or "curriculum"}.json"'}
    return HttpResponse(
        write_file(curriculum_of(dances)), content_type="application/json", headers=disposition
    )


def _preview(request: HttpRequest, data: bytes, changes: Changes, *, overtaken: bool = False) -> HttpResponse:
    context = {"changes": changes, "overtaken": overtaken}
    if not changes.mistakes and not changes.nothing:
        context["carried"] = pack(data, changes.fingerprint(), person=request.user.pk)
    return render(request, "curriculum/file_preview.html", context, status=409 if overtaken else 200)
