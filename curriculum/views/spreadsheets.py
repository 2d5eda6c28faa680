"""A dance's figures out as a file and in again: chosen, previewed, confirmed."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from curriculum.access import get_dance_for
from curriculum.hold_writing import add_named_hold
from curriculum.missing_holds import MissingHoldForm, missing_hold_forms
from curriculum.models import Dance
from curriculum.spreadsheet import writer
from curriculum.spreadsheet.apply import PreviewOvertaken, apply_sheet
from curriculum.spreadsheet.carry import NothingCarried, pack, unpack
from curriculum.spreadsheet.columns import COLUMNS
from curriculum.spreadsheet.compare import compare
from curriculum.spreadsheet.reader import MOST_BYTES, TOO_LARGE, read_sheet
from curriculum.spreadsheet.standing import standing_of
from curriculum.spreadsheet.values import Changes, Sheet, UnreadableFile
from school.methods import require_form
from school.plain_forms import PlainWords


class FileForm(PlainWords, forms.Form):
    file = forms.FileField(
        label="File",
        help_text="CSV in UTF-8, or XLSX; up to 5 MB and 5,000 rows.",
        allow_empty_file=True,
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.xlsx,text/csv"}),
    )

    def clean_file(self) -> Sheet:
        """The file's rows; what makes it useless as a whole is said at the field."""
        file = self.cleaned_data["file"]
        if file.size > MOST_BYTES:
            raise forms.ValidationError(TOO_LARGE)
        try:
            return read_sheet(file.read(), file.name)
        except UnreadableFile as refusal:
            raise forms.ValidationError(str(refusal)) from refusal


@require_form
def bring_in(request: HttpRequest, pk: int) -> HttpResponse:
    dance = get_dance_for(request.user, pk)
    form = FileForm(request.POST, request.FILES) if request.method == "POST" else FileForm()
    if request.method == "POST" and form.is_valid():
        sheet = form.cleaned_data["file"]
        try:
            return _preview(request, dance, sheet, compare(sheet, standing_of(dance)))
        except UnreadableFile as refusal:
            form.add_error("file", str(refusal))
    context = {"dance": dance, "form": form, "columns": COLUMNS}
    return render(request, "curriculum/spreadsheet.html", context)


@require_POST
def confirm(request: HttpRequest, pk: int) -> HttpResponse:
    dance = get_dance_for(request.user, pk)
    try:
        sheet, fingerprint = unpack(request.POST.get("carried", ""), dance=pk, person=request.user.pk)
        changes = apply_sheet(dance=dance, sheet=sheet, fingerprint=fingerprint, by=request.user)
    except NothingCarried as refusal:
        messages.error(request, str(refusal))
        return redirect("curriculum:spreadsheet-in", pk)
    except PreviewOvertaken as overtaken:
        return _preview(request, dance, sheet, overtaken.changes, overtaken=True)
    messages.success(request, f"{changes.in_words or 'Nothing'} written.")
    return redirect("curriculum:dance", pk)


@require_POST
def add_hold(request: HttpRequest, pk: int) -> HttpResponse:
    """A hold that the previewed file needs, and the preview anew."""
    dance = get_dance_for(request.user, pk)
    try:
        sheet, _ = unpack(request.POST.get("carried", ""), dance=pk, person=request.user.pk)
    except NothingCarried as refusal:
        messages.error(request, str(refusal))
        return redirect("curriculum:spreadsheet-in", pk)
    form = MissingHoldForm(dance, request.POST)
    if form.is_valid():
        added = add_named_hold(dance=dance, **form.cleaned_data)
        messages.success(request, f"{added} is a hold of {dance} now.")
        form = None
    return _preview(request, dance, sheet, compare(sheet, standing_of(dance)), refused=form)


@require_safe
def take_out(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    kinds = {"csv": (writer.csv_bytes, writer.CSV_TYPE), "xlsx": (writer.xlsx_bytes, writer.XLSX_TYPE)}
    dance = get_dance_for(request.user, pk)
    if kind not in kinds:
        raise Http404("no such kind of file")
    write, content_type = kinds[kind]
    name = f"{slugify(dance.name) or 'figures'}.{kind}"
    disposition = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(write(standing_of(dance)), content_type=content_type, headers=disposition)


def _preview(
    request: HttpRequest,
    dance: Dance,
    sheet: Sheet,
    changes: Changes,
    *,
    overtaken: bool = False,
    refused: MissingHoldForm | None = None,
) -> HttpResponse:
    context = {"dance": dance, "changes": changes, "overtaken": overtaken, "sheet": sheet}
    if missing := changes.missing_holds:
        context["missing_holds"] = missing_hold_forms(dance, missing, refused)
        context["holds"] = tuple(dance.holds.order_by("pk").values_list("name", flat=True))
    if missing or (not changes.errors and not changes.nothing):
        person = request.user.pk
        context["carried"] = pack(sheet, changes.fingerprint(), dance=dance.pk, person=person)
    return render(request, "curriculum/spreadsheet_preview.html", context, status=409 if overtaken else 200)
