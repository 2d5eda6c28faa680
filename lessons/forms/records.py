"""What we did: one row a figure, filled in as planned, so that only what went otherwise is touched."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import QueryDict

from curriculum.models import Figure, FloorRole
from lessons.actions.records import WhatHappened
from lessons.evening.tonight import AGAIN, Planned
from lessons.models import Outcome, RecordedFigure, Wellness
from school.plain_forms import PlainWords
from school.sent import whole_numbers

EXTRA = "extra"
# Offered for a figure that was added by mistake: it is not written, so the record never says it.
NOT_DONE = "not_done", "not done after all"
MOST_OWED, MOST_GUESTS, MOST_NOTED = 240, 500, 2000
OUTCOMES = {
    "new": (Outcome.INTRODUCED, Outcome.FINISH_LATER, Outcome.NOT_REACHED),
    "carry": (Outcome.INTRODUCED, Outcome.FINISH_LATER, Outcome.NOT_REACHED),
    "review": (Outcome.REVIEWED, Outcome.NOT_REACHED),
    "extra": (Outcome.INTRODUCED, Outcome.FINISH_LATER, Outcome.REVIEWED),
}


class OutcomeForm(PlainWords, forms.Form):
    """What became of one figure. `how`: as in the plan, or beside it."""

    outcome = forms.ChoiceField(
        label="What we did",
        widget=forms.RadioSelect,
        error_messages={"required": "Say what became of it.", "invalid_choice": "Choose one of those below."},
    )
    went = forms.ChoiceField(
        label="How it went",
        choices=[("", "not said"), *Wellness.choices],
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Choose one of those below for how it went."},
    )
    minutes_owed = forms.IntegerField(
        label="Minutes still needed",
        min_value=1,
        max_value=MOST_OWED,
        required=False,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        help_text="Left empty: an even share of its minutes.",
        error_messages={
            "invalid": "The minutes still needed are a whole number, or nothing.",
            "min_value": "At least 1 minute is still needed; leave it empty if you do not know.",
            "max_value": f"No figure needs more than {MOST_OWED} minutes more.",
        },
    )

    def __init__(self, how: str, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = OUTCOMES[how]
        given = self.initial.get("outcome")
        if given and given not in choices:
            choices = (*choices, Outcome(given))
        offered = [(choice.value, choice.label) for choice in choices]
        self.fields["outcome"].choices = [*offered, NOT_DONE] if how == EXTRA else offered

    @property
    def was_done(self) -> bool:
        return self.cleaned_data["outcome"] != NOT_DONE[0]

    @property
    def happened(self) -> WhatHappened:
        """As `write_record` takes it; minutes still needed only of what is to be finished."""
        data = self.cleaned_data
        owed = data.get("minutes_owed") if data["outcome"] == Outcome.FINISH_LATER else None
        return data["outcome"], data.get("went", ""), owed


@dataclass(frozen=True)
class OutcomeRow:
    """A figure in the form. theirs: what somebody else recorded of it while this form was open; is_added: it
    came into the list a moment ago."""

    figure: Figure
    how: str
    form: OutcomeForm
    planned: Planned | None = None
    theirs: RecordedFigure | None = None
    is_added: bool = False

    @property
    def place(self) -> str:
        """Where the row stands in the page."""
        return f"row-{self.figure.pk}"

    @property
    def wrongs(self) -> list[str]:
        return [sentence for errors in self.form.errors.values() for sentence in errors]


class RestForm(PlainWords, forms.Form):
    """Everything that is not about a figure. early: asked for before the lesson's hour only."""

    present = forms.TypedMultipleChoiceField(
        label="Who was there",
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "Somebody you ticked does not dance in this course any more."},
    )
    unnamed_guests = forms.IntegerField(
        label="Guests without a name",
        min_value=0,
        max_value=MOST_GUESTS,
        required=False,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        help_text="Left empty: none.",
        error_messages={
            "invalid": "Guests are counted in a whole number.",
            "min_value": "There cannot be fewer guests than none.",
            "max_value": f"More than {MOST_GUESTS} guests fit in no hall.",
        },
    )
    note = forms.CharField(
        label="A note to the next instructor",
        required=False,
        max_length=MOST_NOTED,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=f"What they should know, in {MOST_NOTED} characters. Nothing about anybody’s health.",
        error_messages={
            "max_length": "The note has %(show_value)d characters; %(limit_value)d fit. Nothing was cut off."
        },
    )
    early = forms.BooleanField(label="It has taken place already", required=False)
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
        # A browser would cut a long note off without a word.
        del self.fields["note"].widget.attrs["maxlength"]
        self.fields["extra"].queryset = figures

    def clean_unnamed_guests(self) -> int:
        if self.add_prefix("unnamed_guests") not in self.data:
            raise forms.ValidationError("The form arrived without its fields. Fill it in and send it again.")
        return self.cleaned_data["unnamed_guests"] or 0


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
    return list(dict.fromkeys(whole_numbers(values)))


def role_words(role: str) -> str:
    return f"{FloorRole(role).label}s" if role else "Others"
