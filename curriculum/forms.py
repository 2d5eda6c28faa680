"""Forms about dances and levels."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from curriculum import actions
from curriculum.ladder import add_level
from curriculum.models import Dance, Level


class DanceForm(forms.ModelForm):
    """A new dance with the names of its levels, one a line, the lowest first."""

    levels = forms.CharField(
        label="Levels, the lowest first",
        help_text="One name a line. Leave it empty if a spreadsheet brings them in.",
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    class Meta:
        model = Dance
        fields = [
            "name",
            "beats_per_bar",
            "beat_unit",
            "floor_use",
            "slowest_bars_per_minute",
            "quickest_bars_per_minute",
        ]
        labels = {"beats_per_bar": "Beats in a bar", "beat_unit": "Note of a beat", "floor_use": "Floor"}
        help_texts = {"beats_per_bar": "the 3 of 3/4"}

    def clean_name(self) -> str:
        name = " ".join(self.cleaned_data["name"].split())
        if Dance.objects.filter(name__iexact=name).exists():
            raise ValidationError(f"There is a dance called {name} already.")
        return name

    def clean_levels(self) -> list[str]:
        names = [" ".join(line.split()) for line in self.cleaned_data["levels"].splitlines()]
        names = [name for name in names if name]
        if len({name.casefold() for name in names}) < len(names):
            raise ValidationError("Two levels have the same name.")
        if any(len(name) > Level._meta.get_field("name").max_length for name in names):
            raise ValidationError("A level’s name has at most 60 letters.")
        return names

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        slowest, quickest = (data.get(f"{speed}_bars_per_minute") for speed in ("slowest", "quickest"))
        if (slowest is None) != (quickest is None) and not self.errors:
            self.add_error("quickest_bars_per_minute", "Give both ends of the range, or neither.")
        elif slowest is not None and quickest is not None and not 0 < slowest <= quickest:
            self.add_error("quickest_bars_per_minute", "This must be above 0 and not below the slowest.")
        return data

    def make(self) -> Dance | None:
        """The dance, or None with the refusal at its field."""
        try:
            return actions.create_dance(**self.cleaned_data)
        except ValidationError as refusal:
            self.add_error(None, refusal)
            return None


class LevelForm(forms.ModelForm):
    class Meta:
        model = Level
        fields = ["name", "most_new"]

    def make(self, dance: Dance) -> Level | None:
        """The level at the top of the dance's ladder, or None with the refusal at its field."""
        name = " ".join(self.cleaned_data["name"].split())
        if dance.levels.filter(name__iexact=name).exists():
            self.add_error("name", f"{dance} has a level called {name} already.")
            return None
        try:
            return add_level(dance=dance, name=name, most_new=self.cleaned_data["most_new"])
        except ValidationError as refusal:
            self.add_error(None, refusal)
            return None
