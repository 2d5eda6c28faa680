"""What a routine to be composed shall be like: how long, from where to where, with what and without what."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from curriculum.composing import Wish, end_of_routine, stances_of
from curriculum.models import FloorUse, Level, Routine
from curriculum.routine_bench import Dances
from curriculum.routine_clock import Moments
from curriculum.rules.chain import Stance
from school.plain_forms import PlainWords

MOST_BARS = 256
ANYHOW, ROUND, AFTER = "", "round", "after-"
BARS, PHRASES = "bars", "phrases"
NOT_KNOWN = {"invalid_choice": "%(value)s is not known by then. Choose others, or a later lesson."}


class ComposeForm(PlainWords, forms.Form):
    """Its choices are those of one level at one moment. `wish` reads what was chosen."""

    clock = forms.ChoiceField(required=False, label="With the figures known")
    length = forms.IntegerField(min_value=1, max_value=MOST_BARS, label="Length")
    unit = forms.ChoiceField(choices=((BARS, "bars"), (PHRASES, "phrases")), label="Counted in")
    start = forms.ChoiceField(required=False, label="Starts")
    end = forms.ChoiceField(required=False, label="Ends")
    corner = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=64,
        label="A corner may come every so many bars",
        help_text="Empty: along one side, without a corner.",
    )
    required = forms.MultipleChoiceField(required=False, label="Must be in", error_messages=NOT_KNOWN)
    avoid = forms.MultipleChoiceField(required=False, label="Leave out", error_messages=NOT_KNOWN)
    seed = forms.IntegerField(required=False, min_value=1, max_value=999_999, widget=forms.HiddenInput)

    def __init__(
        self, data: Mapping[str, Any] | None, *, level: Level, moments: Moments, dances: Dances
    ) -> None:
        super().__init__(data, initial={"length": 2, "unit": PHRASES, "clock": moments.chosen.key})
        self.level = level
        self.dances = dances
        self.starts = stances_of(dances)
        self.below = {
            f"{AFTER}{row.pk}": row
            for row in Routine.objects.filter(level__dance=level.dance_id, level__rank__lte=level.rank)
            .select_related("level")
            .order_by("-level__rank", "name")
        }
        self._offer(moments)
        if level.dance.floor_use != FloorUse.TRAVELS:
            del self.fields["corner"]
        else:
            self.initial["corner"] = level.dance.bars_per_phrase

    def _offer(self, moments: Moments) -> None:
        stances = [(key, said) for key, (_, said) in self.starts.items()]
        after = [(key, f"where {row.name} ({row.level.name}) ends") for key, row in self.below.items()]
        groups = [(name, list(group)) if name else group[0] for name, group in moments.groups]
        self.fields["clock"].choices = groups
        begins = ("As figures begin", stances)
        self.fields["start"].choices = [(ANYHOW, "anyhow"), ("After a routine", after), begins]
        rounds = (ROUND, "so that it can be danced again from the start")
        self.fields["end"].choices = [(ANYHOW, "anyhow"), rounds, ("So that can follow what begins", stances)]
        known = moments.chosen.known
        figures = dict.fromkeys(passage.figure for passage in self.dances.passages)
        for name in ("required", "avoid"):
            self.fields[name].choices = [(figure, figure) for figure in figures if figure in known]
            self.fields[name].widget = forms.CheckboxSelectMultiple(choices=self.fields[name].choices)

    def clean(self) -> dict[str, Any]:
        found = dict(super().clean() or self.cleaned_data)
        both = set(found.get("required", ())) & set(found.get("avoid", ()))
        if both:
            raise ValidationError({"avoid": f"{', '.join(sorted(both))} must be in: it cannot be left out."})
        phrase = self.level.dance.bars_per_phrase
        if found.get("unit") == PHRASES and (found.get("length") or 0) * phrase > MOST_BARS:
            raise ValidationError({"length": f"At most {MOST_BARS} bars: {MOST_BARS // phrase} phrases."})
        return found

    @property
    def wish(self) -> Wish:
        """What is asked for. One query where it starts after a routine."""
        chosen, dance = self.cleaned_data, self.level.dance
        bars = chosen["length"] * (dance.bars_per_phrase if chosen["unit"] == PHRASES else 1)
        after = self.below.get(chosen["start"])
        start = end_of_routine(after) if after else self._stance(chosen["start"])
        every = chosen.get("corner")
        return Wish(
            beats=Fraction(bars * dance.beats_per_bar),
            start=start,
            after=after,
            end=self._stance(chosen["end"]),
            is_round=chosen["end"] == ROUND,
            required=tuple(chosen["required"]),
            avoid=tuple(chosen["avoid"]),
            corner_every=Fraction(every * dance.beats_per_bar) if every else None,
            seed=chosen["seed"] or 1,
        )

    def _stance(self, key: str) -> Stance | None:
        found = self.starts.get(key)
        return found[0] if found else None
