"""One change of a routine's row as a form sends it: what to do, at which place, with which figures."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from curriculum.routine_writing import Row
from curriculum.rules.row_editing import MOST_ITEMS, move, put_in, replace, take_out
from school.plain_forms import PlainWords
from school.sent import whole_numbers

DOINGS = (
    ("add", "put in"),
    ("replace", "put in its place"),
    ("corner", "put in a corner"),
    ("out", "take out"),
    ("earlier", "move earlier"),
    ("later", "move later"),
    ("move", "move to another place"),
    ("bridge", "put in a bridge"),
)
_MOVES = ("earlier", "later", "move")


class RowChangeForm(PlainWords, forms.Form):
    """`at`: the chosen item's place, from 1; 0 is the start of the row. What is put in comes behind it, a
    bridge comes before it. `passages`: keys with commas between."""

    do = forms.ChoiceField(choices=DOINGS)
    at = forms.IntegerField(min_value=0, max_value=MOST_ITEMS)
    version = forms.IntegerField(min_value=0)
    passages = forms.CharField(required=False, max_length=400)
    to = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=MOST_ITEMS,
        label="Move to place",
        error_messages={
            "invalid": "Write the number of a place.",
            "min_value": "The first place is 1.",
            "max_value": f"A routine has at most {MOST_ITEMS:,} places.",
        },
    )

    def clean_passages(self) -> tuple[int, ...]:
        sent = [key for key in self.cleaned_data["passages"].split(",") if key]
        keys = tuple(whole_numbers(sent))
        if len(keys) < len(sent):
            raise ValidationError("That figure is not there any more. Choose again.")
        return keys

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        doing = found.get("do")
        keys = found.get("passages", ())
        least = 1 if doing in ("add", "bridge", "replace") else 0
        if len(keys) < least or (doing == "replace" and len(keys) > 1):
            self.add_error("passages", "Choose a figure first.")
        if doing == "move" and found.get("to") is None and "to" not in self.errors:
            self.add_error("to", "Write the number of a place.")
        return dict(found)

    def change(self, row: Row) -> Row:
        """The changed row. Raises NoSuchPlace or RowTooLong, with a sentence."""
        doing, at, keys = (self.cleaned_data[name] for name in ("do", "at", "passages"))
        if doing == "add":
            return put_in(row, at, keys)
        if doing == "corner":
            return put_in(row, at, (None,))
        if doing == "bridge":
            return put_in(row, at - 1, keys)
        if doing == "replace":
            return replace(row, at - 1, keys[0])
        if doing == "out":
            return take_out(row, at - 1)
        return move(row, at - 1, self._goal(len(row)) - 1)

    def chosen_after(self, row: Row) -> int:
        """The place that is chosen then, in the changed row."""
        doing, at, keys = (self.cleaned_data[name] for name in ("do", "at", "passages"))
        if doing in _MOVES:
            return self._goal(len(row))
        moved_on = {"add": len(keys), "corner": 1, "bridge": len(keys), "out": -1}
        return max(min(at + moved_on.get(doing, 0), len(row)), 0)

    def _goal(self, length: int) -> int:
        """Where the moved item goes to: no further than the ends."""
        doing, at = self.cleaned_data["do"], self.cleaned_data["at"]
        if doing == "move":
            return min(int(self.cleaned_data["to"]), length)
        return min(max(at + (1 if doing == "later" else -1), 1), length)

    @property
    def sentence(self) -> str:
        """The first thing that is wrong with it."""
        return next(str(error) for errors in self.errors.values() for error in errors)

    @property
    def again(self) -> list[tuple[str, str]]:
        """What was sent, to be sent once more with another version."""
        return [(name, self.data[name]) for name in ("do", "at", "passages", "to") if self.data.get(name)]

    def said(self, names: Mapping[int, str]) -> str:
        """What it asks for, in words. names: of passages, by key."""
        doing, at = self.cleaned_data["do"], self.cleaned_data["at"]
        figures = ", ".join(names.get(key, "a figure") for key in self.cleaned_data["passages"])
        what = {
            "add": f"put in {figures} behind place {at}",
            "bridge": f"put in {figures} before place {at}",
            "replace": f"put {figures} at place {at}",
            "corner": f"put in a corner behind place {at}",
            "out": f"take out what stands at place {at}",
            "move": f"move what stands at place {at} to place {self.cleaned_data['to']}",
        }
        moved = f"move what stands at place {at} one place {doing}"
        return f"{what.get(doing, moved)}."
