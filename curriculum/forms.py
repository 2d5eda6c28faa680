"""Forms about dances and levels."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from curriculum import actions
from curriculum.dance_writing import DANCE_FIELDS, fingerprint
from curriculum.ladder import add_level
from curriculum.models import Dance, FloorUse, Level
from curriculum.standard import StandardDance, standard_dance
from school.plain_forms import PlainWords
from school.second_writer import OneRow

TEMPO_LABELS = {
    "slowest_bars_per_minute": "Slowest, in bars a minute",
    "quickest_bars_per_minute": "Quickest, in bars a minute",
}
NOTES_OF_A_BEAT = (
    (1, "1, a whole note"),
    (2, "2, a half note"),
    (4, "4, a quarter note"),
    (8, "8, an eighth note"),
    (16, "16, a sixteenth note"),
)
FLOOR_LATER = "Another floor takes no hold away and adds none. What is usual there is said when you save."
MOST_BEATS_A_BAR = 12
MOST_BARS_A_PHRASE = 64
LABELS = {"beats_per_bar": "Beats in a bar", **TEMPO_LABELS}
FLOOR_DECIDES = (
    "It decides which holds the dance comes with: promenade only where it travels round the room, fan only "
    "on the spot. It also says what a place on the floor is: an end of the slot, or a direction in the room."
)


def _checked_tempo(form: forms.ModelForm, cleaned: dict[str, Any] | None) -> dict[str, Any]:
    """Both ends of the range or neither, the right way round; what is wrong is said at the field."""
    data = cleaned or form.cleaned_data
    slowest, quickest = (data.get(f"{speed}_bars_per_minute") for speed in ("slowest", "quickest"))
    if (slowest is None) != (quickest is None) and not form.errors:
        form.add_error("quickest_bars_per_minute", "Give both ends of the range, or neither.")
    elif slowest is not None and quickest is not None and not 0 < slowest <= quickest:
        form.add_error("quickest_bars_per_minute", "This must be above 0 and not below the slowest.")
    return data


class _DanceFields(PlainWords, forms.ModelForm):
    """What new dances and standing ones have in common. The floor has no default: too much hangs on it."""

    beat_unit = forms.TypedChoiceField(
        label="Note of a beat", help_text="the 4 of 3/4", coerce=int, choices=NOTES_OF_A_BEAT, initial=4
    )
    floor_use = forms.ChoiceField(
        label="Floor",
        help_text=FLOOR_DECIDES,
        choices=FloorUse.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose one: the holds of the dance depend on it."},
    )

    def clean_name(self) -> str:
        name = " ".join(self.cleaned_data["name"].split())
        if Dance.objects.filter(name__iexact=name).exclude(pk=self.instance.pk).exists():
            raise ValidationError(f"There is a dance called {name} already.")
        return name

    def clean_beats_per_bar(self) -> int:
        beats: int = self.cleaned_data["beats_per_bar"]
        if not 1 <= beats <= MOST_BEATS_A_BAR:
            raise ValidationError(f"A bar has 1 to {MOST_BEATS_A_BAR} beats.")
        return beats

    def clean(self) -> dict[str, Any]:
        return _checked_tempo(self, super().clean())


class DanceForm(_DanceFields):
    """A new dance with the names of its levels, one a line, the lowest first. `start`: a common dance whose
    metre, tempo, floor and rhythms it starts from; with another metre the rhythms are those of the metre."""

    start = forms.CharField(required=False, widget=forms.HiddenInput)

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
            "note",
        ]
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}
        labels = LABELS
        help_texts = {"beats_per_bar": "the 3 of 3/4"}

    def __init__(self, *args: Any, initial: dict[str, Any] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, initial={"floor_use": "", **(initial or {})}, **kwargs)

    def clean_levels(self) -> list[str]:
        names = [" ".join(line.split()) for line in self.cleaned_data["levels"].splitlines()]
        names = [name for name in names if name]
        if len({name.casefold() for name in names}) < len(names):
            raise ValidationError("Two levels have the same name.")
        if any(len(name) > Level._meta.get_field("name").max_length for name in names):
            raise ValidationError("A level’s name has at most 60 letters.")
        return names

    def make(self) -> Dance | None:
        """The dance, or None with the refusal at its field."""
        data = dict(self.cleaned_data)
        start = standard_dance(data.pop("start"))
        if start is not None and start.beats_per_bar == data["beats_per_bar"]:
            data["rhythms"] = start.rhythms
        try:
            return actions.create_dance(**data)
        except ValidationError as refusal:
            self.add_error(None, refusal)
            return None


class DanceChangeForm(OneRow, _DanceFields):
    """A standing dance. `seen`: its fingerprint when the form was opened, so that nobody's words are lost."""

    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    class Meta:
        model = Dance
        fields = DANCE_FIELDS
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}
        labels = {**LABELS, "bars_per_phrase": "Bars in a phrase"}
        help_texts = {"beats_per_bar": "the 3 of 3/4", "bars_per_phrase": "Usually 8."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["seen"] = fingerprint(self.instance)
        self.fields["floor_use"].help_text = FLOOR_LATER

    def clean_bars_per_phrase(self) -> int:
        bars: int = self.cleaned_data["bars_per_phrase"]
        if not 1 <= bars <= MOST_BARS_A_PHRASE:
            raise ValidationError(f"A phrase has 1 to {MOST_BARS_A_PHRASE} bars.")
        return bars

    def _post_clean(self) -> None:
        """The row is written by `change_dance`, which looks first whether it still is what was opened."""


def as_started(start: StandardDance) -> dict[str, Any]:
    """What a new dance that starts from a common one has filled in."""
    return {
        "start": start.name,
        "name": start.name,
        "beats_per_bar": start.beats_per_bar,
        "floor_use": start.floor_use,
        "slowest_bars_per_minute": start.slowest_bars_per_minute,
        "quickest_bars_per_minute": start.quickest_bars_per_minute,
        "note": start.note,
    }


class TempoForm(OneRow, PlainWords, forms.ModelForm):
    """The tempo range of a dance, with what its note says of it."""

    class Meta:
        model = Dance
        fields = ["slowest_bars_per_minute", "quickest_bars_per_minute", "note"]
        widgets = {"note": forms.Textarea(attrs={"rows": 4})}
        labels = TEMPO_LABELS
        help_texts = {"note": "Whose range it is, and what else is worth knowing of the dance."}

    def clean(self) -> dict[str, Any]:
        return _checked_tempo(self, super().clean())


class LevelForm(PlainWords, forms.ModelForm):
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
