"""Two people at one form of the curriculum: the second to save is shown both, and nothing they typed is lost.

For rows that carry no version: a form says what it began from by a mark of what it showed, so that a change
made elsewhere (a hold's free changes are written on either hold's page) is seen as well.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms

from curriculum.spreadsheet.cells import tidy
from school.errors import Overtaken


@dataclass(frozen=True)
class BothVersions:
    """A field in which what stands now differs from what was typed. `stands`: in words."""

    label: str
    stands: str
    typed: str


class BeganFrom:
    """A form that says what it began from. `as_typed`: the row as the form would have it typed."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["began_from"] = forms.CharField(required=False, widget=forms.HiddenInput, max_length=64)

    def begin_from(self, as_typed: Mapping[str, Any]) -> None:
        self.initial = {**as_typed, "began_from": mark_of(as_typed)}

    def differs_from(self, stands: Mapping[str, Any]) -> tuple[BothVersions, ...]:
        """Where what was typed differs from what stands. From then on the form began from what stands."""
        self.data = self.data.copy()
        self.data[self.add_prefix("began_from")] = mark_of(stands)
        both = []
        for name, now in stands.items():
            field = self[name]
            said = [_said(field, value) for value in (now, field.value())]
            if tidy(said[0]) != tidy(said[1]):
                both.append(BothVersions(str(field.label), *said))
        return tuple(both)


def refuse_second(began_from: str, stands: Mapping[str, Any]) -> None:
    """Raises Overtaken where the form began from something else than what stands."""
    if began_from != mark_of(stands):
        raise Overtaken("Somebody else saved this while you had it open.")


def mark_of(as_typed: Mapping[str, Any]) -> str:
    """The same for the same values, in whatever order rows that were ticked are read."""
    plain = {name: sorted(value) if isinstance(value, list) else value for name, value in as_typed.items()}
    return hashlib.sha256(json.dumps(plain, sort_keys=True).encode()).hexdigest()[:32]


def _said(field: forms.BoundField, value: Any) -> str:
    """As a reader would say it: a choice by its name, a tick by yes or no, ticked rows by theirs."""
    kind = field.field
    if isinstance(kind, forms.BooleanField):
        return "yes" if value else "no"
    if isinstance(kind, forms.ModelMultipleChoiceField):
        return _rows(kind, value or ())
    if isinstance(kind, forms.ChoiceField):
        return {str(key): str(said) for key, said in kind.choices}.get(str(value), str(value))
    return str(value or "")


def _rows(kind: forms.ModelMultipleChoiceField, ticked: Iterable[Any]) -> str:
    keys = {str(key) for key in ticked}
    return ", ".join(str(row) for row in kind.queryset if str(row.pk) in keys)
