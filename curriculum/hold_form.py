"""The form of one hold: what it is called, how the partners face, what it turns into freely."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from curriculum.models import Dance, Hold, name_key
from curriculum.spreadsheet.cells import SEPARATOR, tidy_name
from curriculum.spreadsheet.wanted import ANY_HOLD
from curriculum.standard import StandardHold, usual_hold
from school.plain_forms import PlainWords
from school.second_writer import BeganFrom

FREE = "free"
FACINGS = {
    4: "each other",
    0: "the same way, beside or behind",
    6: "¼ apart, follower to the left (promenade)",
    2: "¼ apart, follower to the right (fan)",
    7: "⅛ apart, follower to the left",
    1: "⅛ apart, follower to the right",
    5: "⅜ apart, follower to the left",
    3: "⅜ apart, follower to the right",
}
"""(follower - leader) mod 8, in eighths of a turn, in words."""
_CHOICES = [("", "choose"), *((str(facing), said) for facing, said in FACINGS.items()), (FREE, "anywhere")]
_CHOOSE = "Say how the partners face: charts are checked by it."


def facing_of(value: str) -> int | None:
    """A choice of the field as it is kept: None = anywhere."""
    return None if value == FREE else int(value)


def facing_words(facing: int | None) -> str:
    return "anywhere" if facing is None else FACINGS[facing]


class FacingField(forms.TypedChoiceField):
    """How the partners face in a hold, to be chosen: there is no default that fits."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            label="The partners face",
            choices=_CHOICES,
            coerce=facing_of,
            error_messages={"required": _CHOOSE, "invalid_choice": _CHOOSE},
            **kwargs,
        )


class HoldForm(BeganFrom, PlainWords, forms.Form):
    """`hold`: the one that is changed; None for a new one."""

    name = forms.CharField(max_length=60, help_text="As your teachers say it, for example “promenade”.")
    facing = FacingField(help_text="At the start and at the end of a figure. What goes on inside is free.")
    same_foot = forms.BooleanField(
        required=False,
        label="Both may be on the same foot",
        help_text="As in shadow. Else charts are checked for opposite feet.",
    )
    turns_into = forms.ModelMultipleChoiceField(
        queryset=None,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="It turns freely into",
        help_text="On the spot, between two figures: by letting go or taking a free hand.",
    )
    turned_into_from = forms.ModelMultipleChoiceField(
        queryset=None,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="These turn freely into it",
        help_text="The same the other way round.",
    )

    def __init__(self, dance: Dance, *args: Any, hold: Hold | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.dance = dance
        self.hold = hold
        if hold:
            self.begin_from(as_typed(hold))
        others = dance.holds.exclude(pk=hold and hold.pk).order_by("pk")
        for name in ("turns_into", "turned_into_from"):
            self.fields[name].queryset = others
        self.fields["name"].widget.attrs["autocomplete"] = "off"

    def clean_name(self) -> str:
        return checked_hold_name(self.cleaned_data["name"], dance=self.dance, hold=self.hold)


def checked_hold_name(text: str, *, dance: Dance, hold: Hold | None = None) -> str:
    """The name, tidied. ValidationError where another hold has it, or a spreadsheet could not name it."""
    name = tidy_name(text)
    if SEPARATOR in name:
        raise ValidationError("A name cannot have a semicolon in it: spreadsheets write it between holds.")
    if name_key(name) == ANY_HOLD:
        raise ValidationError("“any” means any hold, so no hold can be called that.")
    for other in dance.holds.exclude(pk=hold and hold.pk):
        if name_key(name) in (name_key(other.name), name_key(other.key)):
            raise ValidationError(f"{dance} has a hold called “{other.name}” already.")
    return name


def as_typed(hold: Hold) -> dict[str, Any]:
    """A hold as the form would have it. Two queries."""
    return {
        "name": hold.name,
        "facing": FREE if hold.facing is None else str(hold.facing),
        "same_foot": hold.same_foot,
        "turns_into": list(hold.changes.values_list("into", flat=True)),
        "turned_into_from": list(hold.changes_from.values_list("hold", flat=True)),
    }


def as_usual(name: str, dance: Dance) -> dict[str, Any]:
    """What a new hold of that name begins with: a usual one as it usually is."""
    usual = usual_hold(name)
    return _usual(usual, dance) if usual else {"name": name}


def _usual(usual: StandardHold, dance: Dance) -> dict[str, Any]:
    return {
        "name": usual.name,
        "facing": FREE if usual.facing is None else str(usual.facing),
        "same_foot": usual.same_foot,
        "turns_into": list(dance.holds.filter(key__in=usual.turns_into).values_list("pk", flat=True)),
        "turned_into_from": list(dance.holds.filter(key__in=usual.turned_from).values_list("pk", flat=True)),
    }
