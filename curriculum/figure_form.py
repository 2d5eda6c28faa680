"""The form of one figure: names, length, minutes, words, faults and cautions, each list a line an entry."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from curriculum.models import Dance, Figure, FigureKind
from curriculum.snapshot import FORMS
from curriculum.spreadsheet.cells import SEPARATOR, read_ticks, say_ticks, tidy, tidy_name
from school.plain_forms import PlainWords

ARROW = "→"
_ARROWS = re.compile(r"\s*(?:→|->|=>)\s*")
_LONGEST_FAULT, _LONGEST_CAUTION, _LONGEST_NAME = 200, 300, 80


def _lines(text: str) -> list[tuple[int, str]]:
    return [(number, tidy(line)) for number, line in enumerate(text.splitlines(), start=1) if line.strip()]


def _area(rows: int) -> forms.Textarea:
    return forms.Textarea(attrs={"rows": rows})


def _figure_field(label: str, help_text: str) -> forms.ModelChoiceField:
    """Another figure of the dance, or none."""
    return forms.ModelChoiceField(
        queryset=None, required=False, empty_label="none", label=label, help_text=help_text
    )


class FigureForm(PlainWords, forms.Form):
    """`version` is the figure's when the form was opened: whoever saves second is shown both versions."""

    name = forms.CharField(max_length=_LONGEST_NAME)
    other_names = forms.CharField(
        required=False, widget=_area(2), help_text="One a line.", label="Other names"
    )
    level = forms.ModelChoiceField(queryset=None, empty_label=None)
    kind = forms.ChoiceField(
        choices=FigureKind.choices,
        initial=FigureKind.FIGURE,
        help_text="A technique is taught and practised like a figure, but has no length.",
    )
    beats = forms.CharField(required=False, help_text="For example 6, 4.5 or 1 1/3.", label="Length in beats")
    minutes_to_introduce = forms.IntegerField(min_value=1, max_value=600, label="Minutes to introduce")
    minutes_to_review = forms.IntegerField(min_value=0, max_value=600, initial=4, label="Minutes to review")
    in_a_row = forms.IntegerField(
        min_value=1, max_value=20, initial=1, label="Danced how often in a row", help_text="Usually once."
    )
    lead = forms.CharField(required=False, widget=_area(3), label="What leads it")
    response = forms.CharField(required=False, widget=_area(3), label="What answers")
    notes = forms.CharField(required=False, widget=_area(4))
    faults = forms.CharField(
        required=False,
        widget=_area(4),
        help_text=f"One a line, with its remedy: what goes wrong {ARROW} what helps. “->” will do too.",
    )
    cautions = forms.CharField(
        required=False,
        widget=_area(3),
        help_text="One a line: where it can hurt, and what to do about it.",
    )
    easier_form = _figure_field("An easier form", "For whoever cannot dance this one yet.")
    open_form = _figure_field("In an open hold", "The same figure, danced apart or hand to hand.")
    extension = _figure_field("Grows into", "The figure that goes on where this one ends.")
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, dance: Dance, *args: Any, figure: Figure | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.dance = dance
        others = dance.figures.exclude(pk=figure and figure.pk).order_by("level__rank", "order", "pk")
        for name in FORMS:
            self.fields[name].queryset = others
        self.fields["level"].queryset = dance.levels.order_by("rank")
        self.fields["name"].widget.attrs["autocomplete"] = "off"

    def clean_name(self) -> str:
        name = tidy_name(self.cleaned_data["name"])
        self._refuse_semicolon(name)
        return name

    def clean_other_names(self) -> list[str]:
        names = [tidy_name(line) for _, line in _lines(self.cleaned_data["other_names"])]
        for name in names:
            self._refuse_semicolon(name)
            if len(name) > _LONGEST_NAME:
                raise ValidationError(f"“{name[:20]}…” has {len(name)} letters; {_LONGEST_NAME} are allowed.")
        return names

    def _refuse_semicolon(self, name: str) -> None:
        if SEPARATOR in name:
            raise ValidationError(
                "A name cannot have a semicolon in it: in spreadsheets it stands between names."
            )

    def clean_beats(self) -> int | None:
        """The length in ticks."""
        try:
            return read_ticks(self.cleaned_data["beats"])
        except ValueError as error:
            sentence = str(error)
            raise ValidationError(f"{sentence[:1].upper()}{sentence[1:]}.") from error

    def clean_faults(self) -> list[tuple[str, str]]:
        pairs = []
        for number, line in _lines(self.cleaned_data["faults"]):
            fault, *remedy = _ARROWS.split(line, maxsplit=1)
            if not remedy or not fault or not remedy[0]:
                raise ValidationError(f"Line {number} needs both: what goes wrong {ARROW} what helps.")
            if max(len(fault), len(remedy[0])) > _LONGEST_FAULT:
                raise ValidationError(f"Line {number} is longer than {_LONGEST_FAULT} letters on one side.")
            pairs.append((fault, remedy[0]))
        return pairs

    def clean_cautions(self) -> list[str]:
        lines = _lines(self.cleaned_data["cautions"])
        for number, line in lines:
            if len(line) > _LONGEST_CAUTION:
                raise ValidationError(
                    f"Line {number} has {len(line)} letters; {_LONGEST_CAUTION} are allowed."
                )
        return [line for _, line in lines]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if data.get("kind") == FigureKind.FIGURE and "beats" in data and data["beats"] is None:
            self.add_error("beats", "A figure has a length. Leave it empty for a technique only.")
        if data.get("kind") == FigureKind.TECHNIQUE and data.get("beats"):
            self.add_error("beats", "A technique has no length.")
        return data

    def refuse(self, refusal: ValidationError) -> None:
        """Put what the curriculum refused at its field, or at the head of the form."""
        if not hasattr(refusal, "error_dict"):
            self.add_error(None, refusal)
            return
        fields = {"ticks": "beats"}
        for field, errors in refusal.error_dict.items():
            known = fields.get(field, field)
            self.add_error(known if known in self.fields else None, errors)


def as_typed(figure: Figure) -> dict[str, Any]:
    """A figure as the form would have it typed. Three queries."""
    return {
        "name": figure.name,
        "other_names": "\n".join(figure.other_names),
        "level": figure.level_id,
        "kind": figure.kind,
        "beats": say_ticks(figure.ticks),
        "minutes_to_introduce": figure.minutes_to_introduce,
        "minutes_to_review": figure.minutes_to_review,
        "in_a_row": figure.in_a_row,
        "lead": figure.lead,
        "response": figure.response,
        "notes": figure.notes,
        "faults": "\n".join(f"{row.fault} {ARROW} {row.remedy}" for row in figure.faults.all()),
        "cautions": "\n".join(row.text for row in figure.cautions.all()),
        **{form: getattr(figure, f"{form}_id") or "" for form in FORMS},
        "version": figure.version,
    }
