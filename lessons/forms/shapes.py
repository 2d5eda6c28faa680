"""A lesson shape as one form: a row for each kind of segment, in the shape where it has a place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms

from lessons.models import LessonKind, LessonShape, SegmentKind, ShapeSegment
from lessons.rules.shape_sums import LENGTHS, Sums, sums_of
from school.plain_forms import PlainWords
from school.second_writer import BeganFrom

MOST_MINUTES = 240
MINUTES = ("least", "ideal", "most")
COLUMNS = {"place": "place", "least": "least", "ideal": "ideal", "most": "most", "gives": "gives way"}
KINDS = [
    ("", "any lesson"),
    *((kind.value, kind.label) for kind in LessonKind if kind != LessonKind.ORDINARY),
]


@dataclass(frozen=True)
class SegmentRow:
    """The five fields of one kind of segment, as the page lays them out."""

    label: str
    fields: tuple[forms.BoundField, ...]

    @property
    def named(self) -> list[tuple[str, forms.BoundField]]:
        """(the column's word, the field)."""
        return list(zip(COLUMNS.values(), self.fields, strict=True))

    @property
    def errors(self) -> list[tuple[str, str]]:
        """(the field's own id for its error, what is wrong)."""
        return [(f"{field.auto_id}_error", error) for field in self.fields for error in field.errors]


class ShapeForm(BeganFrom, PlainWords, forms.Form):
    """What stands at a kind without a place is left out of the shape, and kept on the page."""

    name = forms.CharField(label="Name", max_length=60)
    for_kind = forms.ChoiceField(label="For lessons of this kind", choices=KINDS, required=False)
    is_default = forms.BooleanField(
        label="The school’s usual shape",
        required=False,
        help_text="For courses that have no shape of their own.",
    )

    def __init__(self, shape: LessonShape, data: Any = None) -> None:
        self.shape = shape
        self.standing = list(shape.segments.all()) if shape.pk else []
        super().__init__(data, initial=_standing(shape, self.standing))
        first = [segment.kind for segment in self.standing]
        self.kinds = [*first, *(kind for kind in SegmentKind.values if kind not in first)]
        for kind in self.kinds:
            label = SegmentKind(kind).label
            for name, words in COLUMNS.items():
                self.fields[f"{name}_{kind}"] = forms.IntegerField(
                    label=f"{label}: {words}",
                    required=False,
                    min_value=0 if name in ("least", "gives") else 1,
                    max_value=9 if name in ("place", "gives") else MOST_MINUTES,
                )
        if shape.pk:
            self.begin_from(self.as_typed(shape))

    def as_typed(self, shape: LessonShape) -> dict[str, Any]:
        """A shape as this form would have it typed. One query."""
        standing = _standing(shape, list(shape.segments.all()))
        return {name: standing.get(name) for name in self.fields if name != "began_from"}

    def clean_name(self) -> str:
        name = self.cleaned_data["name"]
        if LessonShape.objects.filter(name=name).exclude(pk=self.shape.pk).exists():
            raise forms.ValidationError("There is a shape of that name already.")
        return name

    def clean_for_kind(self) -> str:
        kind = self.cleaned_data["for_kind"]
        other = LessonShape.objects.filter(for_kind=kind).exclude(pk=self.shape.pk).first() if kind else None
        if other:
            raise forms.ValidationError(f"“{other}” is for lessons of this kind already.")
        return kind

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        taken: set[int] = set()
        for kind in self.kinds:
            place = cleaned.get(f"place_{kind}")
            if place is None:
                continue
            if place in taken:
                self.add_error(f"place_{kind}", "Another kind has this place already.")
            taken.add(place)
            self._check_minutes(kind, *(cleaned.get(f"{name}_{kind}") for name in MINUTES))
        if not taken and not self.errors:
            raise forms.ValidationError("Give at least one kind of segment a place.")
        return cleaned

    def _check_minutes(self, kind: str, least: int | None, ideal: int | None, most: int | None) -> None:
        for name, minutes in (("ideal", ideal), ("most", most)):
            if minutes is None and f"{name}_{kind}" not in self.errors:
                self.add_error(f"{name}_{kind}", "How many minutes?")
        if ideal is not None and (least or 0) > ideal:
            self.add_error(f"least_{kind}", "The least is not more than the ideal.")
        if ideal is not None and most is not None and most < ideal:
            self.add_error(f"most_{kind}", "The most is not less than the ideal.")

    @property
    def segments(self) -> list[ShapeSegment]:
        """The rows that have a place, in order, not yet saved."""
        told = self.cleaned_data
        kinds = [kind for kind in self.kinds if told.get(f"place_{kind}") is not None]
        return [
            ShapeSegment(
                position=position,
                kind=kind,
                least=told[f"least_{kind}"] or 0,
                ideal=told[f"ideal_{kind}"],
                most=told[f"most_{kind}"],
                give_way=told[f"gives_{kind}"] or 0,
            )
            for position, kind in enumerate(sorted(kinds, key=lambda kind: told[f"place_{kind}"]))
        ]

    @property
    def rows(self) -> list[SegmentRow]:
        return [
            SegmentRow(SegmentKind(kind).label, tuple(self[f"{name}_{kind}"] for name in COLUMNS))
            for kind in self.kinds
        ]

    @property
    def sums(self) -> Sums:
        """Of what is typed, as far as it is numbers; of what stands, where nothing is typed yet."""
        if not self.is_bound:
            return sums_of((row.least, row.ideal, row.most) for row in self.standing)
        told = getattr(self, "cleaned_data", {})
        placed = (kind for kind in self.kinds if told.get(f"place_{kind}") is not None)
        return sums_of(tuple(told.get(f"{name}_{kind}") or 0 for name in MINUTES) for kind in placed)

    @property
    def lengths(self) -> list[tuple[int, str]]:
        """(minutes of a lesson, how it comes out)."""
        return [(minutes, self.sums.against(minutes)) for minutes in LENGTHS]


def _standing(shape: LessonShape, segments: list[ShapeSegment]) -> dict[str, object]:
    initial: dict[str, object] = {
        "name": shape.name,
        "for_kind": shape.for_kind,
        "is_default": shape.is_default,
    }
    for place, row in enumerate(segments, start=1):
        initial |= {
            f"place_{row.kind}": place,
            f"least_{row.kind}": row.least,
            f"ideal_{row.kind}": row.ideal,
            f"most_{row.kind}": row.most,
            f"gives_{row.kind}": row.give_way,
        }
    return initial
