"""Forms that speak like the rest of the site, and that ask again before they do what has consequences.

Both are mixed in before Django's own form class: `class CourseForm(PlainWords, forms.ModelForm)`.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Iterable, Iterator
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

NOTHING = "none"
CHOOSE = "choose"
FIRST_YEAR, LAST_YEAR = 2000, 2100

# For each kind of field, from the special to the general: code of the error -> what is said.
SENTENCES: tuple[tuple[type[forms.Field], dict[str, str]], ...] = (
    (
        forms.ModelMultipleChoiceField,
        {
            "required": "Choose at least one.",
            "invalid_choice": "One of these is not there any more. Choose again.",
            "invalid_pk_value": "One of these is not there any more. Choose again.",
        },
    ),
    (
        forms.MultipleChoiceField,
        {"required": "Choose at least one.", "invalid_choice": "%(value)s is not among the choices."},
    ),
    (
        forms.ChoiceField,
        {"required": "Choose one.", "invalid_choice": "This is not among the choices. Choose again."},
    ),
    (
        forms.ModelChoiceField,
        {"required": "Choose one.", "invalid_choice": "This is not among the choices. Choose again."},
    ),
    (forms.DateField, {"required": "Give a date.", "invalid": "This is not a date."}),
    (forms.TimeField, {"required": "Give a time.", "invalid": "This is not a time of day, like 19:30."}),
    (
        forms.DecimalField,
        {
            "required": "Give a number.",
            "invalid": "This is not a number.",
            "max_digits": "At most %(max)s digits.",
            "max_decimal_places": "At most %(max)s digits after the point.",
            "max_whole_digits": "At most %(max)s digits before the point.",
        },
    ),
    (forms.IntegerField, {"required": "Give a number.", "invalid": "This is not a whole number."}),
    (
        forms.SlugField,
        {"invalid": "Write a short name of letters and digits, without spaces, e.g. WB1."},
    ),
    (forms.EmailField, {"invalid": "This is not an e-mail address, like name@example.org."}),
    # Of the texts typed here only a name to sign in with is asked to be of certain signs.
    (forms.CharField, {"invalid": "Only letters, digits and @ . + - _, without spaces."}),
    (forms.FileField, {"required": "Choose a file.", "empty": "This file is empty."}),
    (
        forms.Field,
        {
            "required": "Fill this in.",
            "unique": "This is taken already. Choose another.",
            "min_value": "Write %(limit_value)s or more.",
            "max_value": "Write %(limit_value)s or less.",
            "max_length": "At most %(limit_value)s letters; these are %(show_value)s.",
            "null_characters_not_allowed": "There is a sign in this that cannot be kept. Type it anew.",
        },
    ),
)


def check_day(day: dt.date) -> None:
    """ValidationError for a day that no school means: a slip of the keyboard, or the end of the calendar,
    after which there is no next week to lay out."""
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise ValidationError(f"Write a day of the years {FIRST_YEAR} to {LAST_YEAR}.")


class PlainWords:
    """Every field refuses in the school's words, a select has one word for nothing, and a day is one of our
    times.

    A sentence that a form gives a field itself stays.
    """

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            _speak_plainly(field)
            if isinstance(field, forms.ModelMultipleChoiceField):
                _refuse_long_numbers(field)
            if isinstance(field, forms.DateField):
                field.validators.append(check_day)
            _name_nothing(field)


class ReadFirst:
    """A form with consequences: they are shown, and done only once the same ones come back as seen."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["seen"] = forms.CharField(required=False, widget=forms.HiddenInput, max_length=64)

    def has_seen(self, consequences: Iterable[str]) -> bool:
        return bool(self.cleaned_data["seen"] == _mark_of(consequences))

    def show(self, consequences: Iterable[str]) -> None:
        """The next time it is sent, these have been seen."""
        self.put("seen", _mark_of(consequences))

    def put(self, name: str, value: str) -> None:
        """Write into what was sent, so that the page shows it and sends it back."""
        self.data = self.data.copy()
        self.data[self.add_prefix(name)] = value


class FocusWhereWrong:
    """A form that stands low on its page: refused, the page opens at the first field that is wrong, with
    scripts or without. It is mixed in before `PlainWords`, and only one such form is sent at a time."""

    def add_error(self, field: str | None, error: Any) -> None:
        super().add_error(field, error)
        wrong = [name for name in self.fields if name in self._errors]
        for name in self.fields:
            self.fields[name].widget.attrs.pop("autofocus", None)
        if wrong:
            self.fields[wrong[0]].widget.attrs["autofocus"] = True


def _mark_of(consequences: Iterable[str]) -> str:
    return hashlib.sha256("\n".join(consequences).encode()).hexdigest()[:32]


def _speak_plainly(field: forms.Field) -> None:
    stock: dict[str, Any] = {}
    for kind in reversed(type(field).__mro__):
        stock |= getattr(kind, "default_error_messages", {})
    for code, sentence in _sentences_for(field):
        if field.error_messages.get(code) in (None, stock.get(code)):
            field.error_messages[code] = sentence


def _refuse_long_numbers(field: forms.ModelMultipleChoiceField) -> None:
    """A key longer than the database's numbers is that of no row: SQLite's driver stops at it."""
    clean = field.clean

    def cleaned(value: Any) -> Any:
        try:
            return clean(value)
        except OverflowError:
            raise ValidationError(
                field.error_messages["invalid_choice"], code="invalid_choice", params={"value": value}
            ) from None

    field.clean = cleaned


def _sentences_for(field: forms.Field) -> Iterator[tuple[str, str]]:
    said: set[str] = set()
    for kind, sentences in SENTENCES:
        if isinstance(field, kind):
            yield from ((code, sentence) for code, sentence in sentences.items() if code not in said)
            said |= sentences.keys()


def _name_nothing(field: forms.Field) -> None:
    if not isinstance(field.widget, forms.Select) or isinstance(field.widget, forms.SelectMultiple):
        return
    word = CHOOSE if field.required else NOTHING
    if isinstance(field, forms.ModelChoiceField):
        if field.empty_label == "---------":
            field.empty_label = word
    elif isinstance(field, (forms.ChoiceField, forms.TypedChoiceField)):
        field.choices = [(value, word if value == "" else label) for value, label in field.choices]
