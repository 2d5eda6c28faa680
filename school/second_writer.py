"""Two people at one form: the second to save is shown both, and nothing that either typed is lost.

For rows that carry no version. A form says what it began from by a mark of each field it showed, so that what
somebody else changed is told from what the writer did: a field that only the other changed is taken from
them, one that both changed stays as it was typed, and both are shown before anything is saved.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.db import transaction
from django.db.models import Model
from django.forms.models import model_to_dict

from school.errors import Overtaken

# A lesson shape's form is the longest: about 45 fields, each named and marked.
_LONGEST_MARK = 2000


# A browser sends a time of day back with the seconds it was given.
_SECONDS = re.compile(r"^(\d\d:\d\d):00$")


@dataclass(frozen=True)
class BothVersions:
    """A field in which what stands now differs from what was typed. `stands`, `typed`: in words.

    taken: the writer had not touched it, so the form has what stands now.
    """

    label: str
    stands: str
    typed: str
    taken: bool = False


class BeganFrom:
    """A form that says what it began from. `as_typed`: the row as the form would have it typed."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["began_from"] = forms.CharField(
            required=False, widget=forms.HiddenInput, max_length=_LONGEST_MARK
        )

    def begin_from(self, as_typed: Mapping[str, Any]) -> None:
        self.initial = {**as_typed, "began_from": mark_of(as_typed)}

    def differs_from(self, stands: Mapping[str, Any]) -> tuple[BothVersions, ...]:
        """Where what was typed differs from what stands; what the writer left alone is taken from there.
        From then on the form began from what stands."""
        began = _marks_in(str(self["began_from"].value() or ""))
        self.data = self.data.copy()
        both = []
        for name, now in stands.items():
            field = self[name]
            typed = field.value()
            if _plain(now) == _plain(typed):
                continue
            taken = began.get(name) == _mark(typed)
            both.append(BothVersions(str(field.label), _said(field, now), _said(field, typed), taken))
            if taken:
                self._put(name, now)
        self._put("began_from", mark_of(stands))
        return tuple(both)

    def both_if_overtaken(self, stands: Mapping[str, Any]) -> tuple[BothVersions, ...] | None:
        """None where the valid form began from what stands; else where the two differ. Ask it of a row that
        is locked until it is written. What is sent without a mark was typed on no page of ours, and began
        from nothing."""
        is_marked = self.add_prefix("began_from") in self.data
        if not is_marked or self.cleaned_data["began_from"] == mark_of(stands):
            return None
        return self.differs_from(stands)

    def _put(self, name: str, value: Any) -> None:
        """Write into what was sent."""
        key = self.add_prefix(name)
        if isinstance(value, (list, tuple)):
            self.data.setlist(key, [str(one) for one in value])
        elif value is False:
            self.data.pop(key, None)
        else:
            self.data[key] = "on" if value is True else _text(value)


class OneRow(BeganFrom):
    """A form of a model's row: `class RoomForm(OneRow, PlainWords, forms.ModelForm)`."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            shown = self.shown_of(self.instance)
            self.begin_from({**self.initial, **shown})
            self.initial["began_from"] = mark_of(shown)

    def shown_of(self, row: Model) -> dict[str, Any]:
        """What the form shows of a row."""
        names = [name for name in self._meta.fields if name in self.fields]
        values = model_to_dict(row, names)
        return {name: self.fields[name].prepare_value(values[name]) for name in names}

    @transaction.atomic
    def save_or_show_both(self) -> tuple[BothVersions, ...] | None:
        """None where the valid form is saved. Where somebody else saved in between nothing is, and this is
        where the two differ. The row is locked meanwhile, and only what the form shows of it is written."""
        row = self.instance
        if row.pk is None:
            self.save()
            return None
        stands = self.shown_of(type(row)._default_manager.select_for_update().get(pk=row.pk))
        if (differ := self.both_if_overtaken(stands)) is not None:
            return differ
        many = {field.name for field in row._meta.many_to_many}
        row.save(update_fields=[name for name in stands if name not in many])
        self._save_m2m()
        return None


def refuse_second(began_from: str, stands: Mapping[str, Any]) -> None:
    """Raises Overtaken where the form began from something else than what stands."""
    if began_from != mark_of(stands):
        raise Overtaken("Somebody else saved this while you had it open.")


def mark_of(as_typed: Mapping[str, Any]) -> str:
    """The same for the same values, in whatever order rows that were ticked are read."""
    return " ".join(f"{name}={_mark(value)}" for name, value in as_typed.items())


def _marks_in(mark: str) -> dict[str, str]:
    return dict(part.split("=", 1) for part in mark.split() if "=" in part)


def _mark(value: Any) -> str:
    return hashlib.sha256(_plain(value).encode()).hexdigest()[:12]


def _plain(value: Any) -> str:
    """A value of a row and the same as a browser sends it are the same words."""
    if isinstance(value, (list, tuple)):
        return ",".join(sorted(str(one) for one in value))
    if isinstance(value, bool):
        return "yes" if value else ""
    return _SECONDS.sub(r"\1", " ".join(_text(value).split()))


def _text(value: Any) -> str:
    if value is None:
        return ""
    return f"{value:%H:%M}" if isinstance(value, dt.time) else str(value)


def _said(field: forms.BoundField, value: Any) -> str:
    """As a reader would say it: a choice by its name, a tick by yes or no, ticked rows by theirs."""
    kind = field.field
    if isinstance(kind, forms.BooleanField):
        return "yes" if value else "no"
    if isinstance(kind, forms.ModelMultipleChoiceField):
        return _rows(kind, value or ())
    if isinstance(kind, forms.MultipleChoiceField):
        names = dict(_flat(kind.choices))
        return ", ".join(names.get(str(key), str(key)) for key in value or ())
    if isinstance(kind, forms.ChoiceField):
        return dict(_flat(kind.choices)).get(str(value), _text(value))
    return _text(value)


def _flat(choices: Iterable[Any]) -> Iterator[tuple[str, str]]:
    """A field's choices, those in groups too."""
    for key, said in choices:
        if isinstance(said, (list, tuple)):
            yield from _flat(said)
        else:
            yield str(key), str(said)


def _rows(kind: forms.ModelMultipleChoiceField, ticked: Iterable[Any]) -> str:
    keys = {str(key) for key in ticked}
    return ", ".join(str(row) for row in kind.queryset if str(row.pk) in keys)
