"""Forms about routines: as of when and at which tempo one is looked at, and what one is called."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from curriculum.models import Level, Routine
from curriculum.models.music import LONGEST_SECONDS
from curriculum.routine_clock import Moments
from curriculum.rules.music_fit import read_length
from school.plain_forms import PlainWords

NOT_WHOLE = "The page you sent was not whole. Look at it again."


class LengthField(forms.CharField):
    """A length of music, "2:45", as seconds."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=8, **kwargs)
        self.widget.attrs |= {"inputmode": "numeric", "size": 6}

    def clean(self, value: Any) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            seconds = read_length(text)
        except ValueError as error:
            raise ValidationError(str(error)) from error
        if seconds < 1:
            raise ValidationError("A piece lasts at least a second: write it like 2:45.")
        if seconds > LONGEST_SECONDS:
            raise ValidationError(f"A piece lasts at most {LONGEST_SECONDS // 60} minutes.")
        return seconds


class LookForm(PlainWords, forms.Form):
    """How the routine is looked at. Everything may be left out."""

    clock = forms.ChoiceField(required=False, label="As of")
    tempo = forms.DecimalField(
        required=False,
        min_value=Decimal(5),
        max_value=Decimal(120),
        max_digits=5,
        decimal_places=1,
        label="Bars a minute",
    )
    length = LengthField(required=False, label="Length of music", help_text="Minutes and seconds.")

    def __init__(self, moments: Moments, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="look-%s", **kwargs)
        choices = [(name, list(group)) if name else group[0] for name, group in moments.groups]
        self.fields["clock"].choices = choices
        if not moments.is_choice:
            del self.fields["clock"]


class RoutineForm(PlainWords, forms.ModelForm):
    """What a routine is called and what it goes on from. Its version travels with it."""

    version = forms.IntegerField(required=False, widget=forms.HiddenInput)

    class Meta:
        model = Routine
        fields = ("name", "continues", "note")
        labels = {"continues": "Goes on from"}
        help_texts = {"continues": "Usually the routine of the level below."}
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, level: Level, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["continues"] = forms.ModelChoiceField(
            Routine.objects.filter(level__dance=level.dance_id, level__rank__lte=level.rank)
            .exclude(pk=self.instance.pk)
            .select_related("level"),
            required=False,
            empty_label="nothing: it begins by itself",
            label=self.Meta.labels["continues"],
            help_text=self.Meta.help_texts["continues"],
        )
        self.initial.setdefault("version", self.instance.version)

    def _post_clean(self) -> None:
        """What the model itself refuses is said by the action that writes it."""
