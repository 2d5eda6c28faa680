"""The form of one rhythm: counts and their lengths in beats, written as they are spoken."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from curriculum.models import Dance, Rhythm, RhythmCount, name_key
from curriculum.models.dances import TICKS_PER_BEAT
from curriculum.spreadsheet.cells import read_ticks, say_ticks, tidy_name
from school.plain_forms import PlainWords
from school.second_writer import BeganFrom

MOST_COUNTS = 32
_LONGEST_COUNT = RhythmCount._meta.get_field("count").max_length or 8


class RhythmForm(BeganFrom, PlainWords, forms.Form):
    name = forms.CharField(max_length=60)
    counts = forms.CharField(
        max_length=300, help_text="What is said, with spaces between: 2 3 4 & 1", label="Counts"
    )
    lengths = forms.CharField(
        max_length=300, help_text="In beats, one for each count: 1 1 1/2 1/2 1", label="How long each lasts"
    )
    begins_on_beat = forms.IntegerField(
        min_value=1, initial=1, label="Begins on beat", help_text="Of the bar; a cha-cha’s begins on 2."
    )
    source = forms.CharField(
        max_length=200, required=False, help_text="Where it comes from: a book, a body, your own practice."
    )

    def __init__(self, dance: Dance, *args: Any, rhythm: Rhythm | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.dance = dance
        self.rhythm = rhythm
        if rhythm:
            self.begin_from(as_typed(rhythm))
        for name in ("name", "counts", "lengths"):
            self.fields[name].widget.attrs["autocomplete"] = "off"

    def clean_name(self) -> str:
        name = tidy_name(self.cleaned_data["name"])
        others = self.dance.rhythms.exclude(pk=self.rhythm and self.rhythm.pk).values_list("name", flat=True)
        if any(name_key(other) == name_key(name) for other in others):
            raise ValidationError(f"{self.dance} has a rhythm called {name} already.")
        return name

    def clean_counts(self) -> list[str]:
        counts = self.cleaned_data["counts"].split()
        if len(counts) > MOST_COUNTS:
            raise ValidationError(f"That is {len(counts)} counts; {MOST_COUNTS} are allowed.")
        for count in counts:
            if len(count) > _LONGEST_COUNT:
                raise ValidationError(f"“{count}” has {len(count)} letters; {_LONGEST_COUNT} are allowed.")
        return counts

    def clean_lengths(self) -> list[int]:
        """In ticks."""
        try:
            return [read_ticks(length) or 0 for length in self.cleaned_data["lengths"].split()]
        except ValueError as error:
            sentence = str(error)
            raise ValidationError(f"{sentence[:1].upper()}{sentence[1:]}.") from error

    def clean_begins_on_beat(self) -> int:
        begins: int = self.cleaned_data["begins_on_beat"]
        if begins > self.dance.beats_per_bar:
            raise ValidationError(f"A bar of {self.dance} has {self.dance.beats_per_bar} beats.")
        return begins

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        counts, lengths = data.get("counts"), data.get("lengths")
        if counts is not None and lengths is not None and len(counts) != len(lengths):
            self.add_error(
                "lengths", f"There are {len(counts)} counts and {len(lengths)} lengths; each count needs one."
            )
        return data


def as_typed(rhythm: Rhythm) -> dict[str, Any]:
    """A rhythm as the form would have it typed. One query."""
    rows = list(rhythm.counts.all())
    return {
        "name": rhythm.name,
        "counts": " ".join(row.count for row in rows),
        "lengths": " ".join(_length(row.ticks) for row in rows),
        "begins_on_beat": rhythm.begins_on_beat,
        "source": rhythm.source,
    }


def _length(ticks: int) -> str:
    """Without a space: 4/3, not 1 1/3, for spaces stand between lengths."""
    said = say_ticks(ticks)
    return said if " " not in said else str(Fraction(ticks, TICKS_PER_BEAT))
