"""One object of the file while it is read. Every mistake is noted with its place and the reading goes on, so
that one look shows all of them. What a field may hold is said by the models, not a second time here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from functools import lru_cache
from typing import Any, Final, TypeVar

from django.core.exceptions import ValidationError
from django.db import models
from django.db.backends.base.operations import BaseDatabaseOperations

from curriculum.rules.naming import name_key
from curriculum.spreadsheet.cells import did_you_mean
from curriculum.travel.values import Mistake, UnusableFile

MISSING: Final = object()
MOST_MISTAKES: Final = 1_000
# The narrowest of all databases: a file written with one must come in with another.
_RANGES: Final = BaseDatabaseOperations.integer_field_ranges
_KINDS: Final = (
    (models.BooleanField, bool, "true or false"),
    (models.IntegerField, int, "a whole number"),
    (models.DecimalField, (int, Decimal), "a number"),
    (models.CharField, str, "a text"),
    (models.TextField, str, "a text"),
)
Value = TypeVar("Value")


class Node:
    """An object of the file at its place. Whatever is not asked for by `check_all_read` is a mistake."""

    def __init__(self, raw: object, place: str, mistakes: list[Mistake]) -> None:
        self.place = place
        self.mistakes = mistakes
        self.raw: Mapping[str, Any] = raw if isinstance(raw, dict) else {}
        self.known: list[str] = []
        if not isinstance(raw, dict):
            self.wrong("an object in curly brackets belongs here")

    def wrong(self, sentence: str, key: str = "") -> None:
        """Note a mistake at this place, or at one of its fields. A file full of them is given up."""
        if len(self.mistakes) >= MOST_MISTAKES:
            raise UnusableFile(f"There are more than {MOST_MISTAKES:,} mistakes here: is it the right file?")
        self.mistakes.append(Mistake(f"{self.place}, {key}" if key else self.place, sentence))

    def get(self, key: str, otherwise: Any = None) -> Any:
        self.known.append(key)
        return self.raw.get(key, otherwise)

    def field(
        self,
        model: type[models.Model],
        name: str,
        otherwise: Any = MISSING,
        *,
        key: str = "",
        least: int | None = None,
        most: int | None = None,
    ) -> Any:
        """The value of a model's field; `otherwise` where the file leaves it out, which without it is a
        mistake. `key`: how the file calls it, if not by the field's name."""
        key = key or name
        value = self.get(key, MISSING)
        if value is MISSING and otherwise is not MISSING:
            return otherwise
        if value is MISSING:
            self.wrong("this is missing", key)
            return None
        sentence = what_is_wrong(model, name, value, least, most)
        if sentence:
            self.wrong(sentence, key)
            return None if otherwise is MISSING else otherwise
        return value

    def name(self, model: type[models.Model], field: str = "name", *, key: str = "") -> str:
        """A name that says something, or "" with the mistake noted."""
        value = self.field(model, field, key=key)
        if value is not None and not name_key(value):
            self.wrong("this is empty", key or field)
        return value or ""

    def reference(self, model: type[models.Model], key: str) -> str | None:
        """The name of something else, or None where the file leaves it out."""
        return self.field(model, "name", None, key=key) or None

    def texts(self, key: str, model: type[models.Model], field: str) -> tuple[str, ...]:
        """A list of texts, each fit for that field."""
        found = []
        for number, value in enumerate(self._list(key), start=1):
            sentence = what_is_wrong(model, field, value, None, None)
            if sentence:
                self.wrong(sentence, f"{key} {number}")
            else:
                found.append(value)
        return tuple(found)

    def parts(self, key: str, called: str, read: Callable[[Node], Value]) -> tuple[Value, ...]:
        """A list of objects, each read. `called`: what one is called, e.g. "figure"."""
        found = []
        for number, raw in enumerate(self._list(key), start=1):
            name = raw.get("name") if isinstance(raw, dict) else None
            said = f"“{name}”" if isinstance(name, str) and name.strip() else str(number)
            node = Node(raw, ", ".join(filter(None, [self.place, f"{called} {said}"])), self.mistakes)
            found.append(read(node))
            node.check_all_read()
        return tuple(found)

    def part(self, key: str) -> Node:
        """An object inside this one; an empty one where the file leaves it out."""
        return Node(self.get(key, {}), f"{self.place}, {key}", self.mistakes)

    def check_all_read(self) -> None:
        """What nobody asked for is a slip of somebody who wrote the file by hand: it would be lost."""
        for key in self.raw:
            if key not in self.known:
                meant = did_you_mean(key, self.known)
                hint = f"; did you mean “{meant}”?" if meant else ""
                self.wrong(f"“{key[:40]}” is not known here{hint}")

    def _list(self, key: str) -> list[Any]:
        raw = self.get(key, [])
        if isinstance(raw, list):
            return raw
        self.wrong("a list in square brackets belongs here", key)
        return []


def what_is_wrong(
    model: type[models.Model], name: str, value: object, least: int | None, most: int | None
) -> str:
    """Why the field cannot hold the value, or ""; begins small and has no full stop."""
    if isinstance(value, dict | list):
        return "a single value belongs here"
    # 1, 1.0 and True are one to a cache, but not to a field.
    return _what_is_wrong(model, name, value, type(value), least, most)


@lru_cache(maxsize=20_000)
def _what_is_wrong(
    model: type[models.Model],
    name: str,
    value: Any,
    kind: type[object],
    least: int | None,
    most: int | None,
) -> str:
    field = model._meta.get_field(name)
    if value is None:
        return "" if field.null else "this cannot be empty"
    wanted, said = next((wanted, said) for kind_, wanted, said in _KINDS if isinstance(field, kind_))
    if not isinstance(value, wanted) or (kind is bool and wanted is not bool):
        return f"{said} belongs here"
    if isinstance(value, str):
        return _text_is_wrong(field, value)
    return _number_is_wrong(field, value, least, most)


def _text_is_wrong(field: Any, text: str) -> str:
    if "\x00" in text or any("\ud800" <= letter <= "\udfff" for letter in text):
        return "there is a character in it that no text can have"
    if text and field.choices and text not in dict(field.choices):
        return f"“{text[:40]}” is not one of {', '.join(str(value) for value, _ in field.choices)}"
    if not text and not field.blank:
        return "this is empty"
    if field.max_length and len(text) > field.max_length:
        return f"this has {len(text)} letters; {field.max_length} are allowed"
    return ""


def _number_is_wrong(field: Any, number: int | Decimal, least: int | None, most: int | None) -> str:
    lowest, highest = _RANGES.get(field.get_internal_type(), (None, None))
    least = lowest if least is None else least
    most = highest if most is None else most
    if (least is not None and number < least) or (most is not None and number > most):
        return f"{number} is outside {least} to {most}"
    try:
        field.clean(number, None)
    except ValidationError as error:
        sentence = str(error.messages[0]).rstrip(".")
        return sentence[:1].lower() + sentence[1:]
    return ""
