"""What we did: one row a figure, filled in as planned, so that only what went otherwise is touched."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import QueryDict

from curriculum.models import Figure, FloorRole
from lessons.actions.records import WhatHappened
from lessons.evening import AGAIN, Planned
from lessons.models import Outcome, RecordedFigure, Wellness

EXTRA = "extra"
OUTCOMES = {
    "new": (Outcome.INTRODUCED, Outcome.FINISH_LATER, Outcome.NOT_REACHED),
    "carry": (Outcome.INTRODUCED, Outcome.FINISH_LATER, Outcome.NOT_REACHED),
    "review": (Outcome.REVIEWED, Outcome.NOT_REACHED),
    "extra": (Outcome.INTRODUCED, Outcome.FINISH_LATER, Outcome.REVIEWED),
}


class OutcomeForm(forms.Form):
    """What became of one figure."""

    outcome = forms.ChoiceField(label="What we did", widget=forms.RadioSelect)
    went = forms.ChoiceField(
        label="How it went",
        choices=[("", "not said"), *Wellness.choices],
        required=False,
        widget=forms.RadioSelect,
    )
    minutes_owed = forms.IntegerField(
        label="Minutes still needed",
        min_value=1,
        max_value=240,
        required=False,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        help_text="Empty: an even share of its minutes.",
    )

    def __init__(self, how: str, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = OUTCOMES[how]
        given = self.initial.get("outcome")
        if given and given not in choices:
            choices = (*choices, Outcome(given))
        self.fields["outcome"].choices = [(choice.value, choice.label) for choice in choices]

    @property
    def happened(self) -> WhatHappened:
        """As `write_record` takes it; minutes still needed only of what is to be finished."""
        data = self.cleaned_data
        owed = data.get("minutes_owed") if data["outcome"] == Outcome.FINISH_LATER else None
        return data["outcome"], data.get("went", ""), owed


@dataclass(frozen=True)
class OutcomeRow:
    """A figure in the form. theirs: what somebody else recorded of it while this form was open."""

    figure: Figure
    how: str
    form: OutcomeForm
    planned: Planned | None = None
    theirs: RecordedFigure | None = None


class RestForm(forms.Form):
    """Everything that is not about a figure."""

    present = forms.TypedMultipleChoiceField(
        label="Who was there", coerce=int, required=False, widget=forms.CheckboxSelectMultiple
    )
    unnamed_guests = forms.IntegerField(
        label="Guests without a name",
        min_value=0,
        max_value=500,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )
    note = forms.CharField(
        label="A note to the next instructor",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What they should know. Nothing about anybody’s health.",
    )
    extra = forms.ModelChoiceField(
        label="Another figure we did",
        queryset=Figure.objects.none(),
        required=False,
        empty_label="none",
    )

    def __init__(
        self, *args: Any, people: Iterable[tuple[int, str]], figures: Iterable[Figure], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["present"].choices = list(people)
        self.fields["extra"].queryset = figures


def as_planned(item: Planned) -> dict[str, Any]:
    """The row as it stands before anybody touches it: everything went as planned."""
    if item.how == AGAIN:
        return {"outcome": Outcome.REVIEWED}
    if item.is_last_part:
        return {"outcome": Outcome.INTRODUCED}
    return {"outcome": Outcome.FINISH_LATER}


def as_recorded(row: RecordedFigure) -> dict[str, Any]:
    return {"outcome": row.outcome, "went": row.went, "minutes_owed": row.minutes_owed}


def named_in(data: QueryDict) -> list[int]:
    """Figures (pk) the posted form has a row for, and the one it asks to add, in order and once each."""
    values = [*data.getlist("figures"), data.get("extra", "")]
    return list(dict.fromkeys(int(value) for value in values if value.isdecimal()))


def role_words(role: str) -> str:
    return f"{FloorRole(role).label}s" if role else "Others"
