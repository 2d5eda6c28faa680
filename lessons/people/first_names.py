"""First names, for whatever is called in a hall or handed on; told apart where two share one."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable

from school.models import Person


def first_names(people: Iterable[Person]) -> dict[int, str]:
    """Person (pk) -> first name, with as much of the rest as tells them apart: "Ada", "Ada B", "Ada Br".

    Of whoever is under 18 not a letter of the surname is given: two of them are "Mia 1" and "Mia 2".
    """
    people = list({person.pk: person for person in people}.values())
    names = {person.pk: person.first_name for person in people}
    longest = max((len(person.name) for person in people), default=0)
    for letters in range(1, longest):
        shared = {name for name, count in Counter(names.values()).items() if count > 1}
        if not shared:
            break
        for person in people:
            rest = "" if person.is_minor else person.name[len(person.first_name) :].strip()
            if names[person.pk] in shared and rest:
                names[person.pk] = f"{person.first_name} {rest[:letters]}".strip()
    return _minors_numbered(people, names)


def names_on_lists(people: Iterable[Person]) -> dict[int, str]:
    """Person (pk) -> what a list of the staff calls them: the whole name, and whoever is under 18 as
    `Person.shown_name` says."""
    people = list({person.pk: person for person in people}.values())
    return _minors_numbered(people, {person.pk: person.shown_name for person in people})


def _minors_numbered(people: Iterable[Person], names: dict[int, str]) -> dict[int, str]:
    """Those under 18 who share what they are called are numbered, in the order in which they came here."""
    by_name: dict[str, list[int]] = {}
    for person in sorted(people, key=lambda person: person.pk):
        if person.is_minor:
            by_name.setdefault(names[person.pk], []).append(person.pk)
    numbered = {
        pk: f"{name} {number}"
        for name, keys in by_name.items()
        if len(keys) > 1
        for number, pk in enumerate(keys, start=1)
    }
    return names | numbered


def without_surnames(text: str, people: Iterable[Person]) -> str:
    """A text somebody typed, with full names cut to first names, and whoever is under 18 not named at all.

    Only names of `people` are known here; a text that calls somebody else by name keeps it.
    """
    for person in sorted(people, key=lambda person: -len(person.name)):
        said = "a student" if person.is_minor else person.first_name
        text = _whole_words(person.name, said, text)
        if person.is_minor:
            text = _whole_words(person.first_name, said, text)
    return text


def _whole_words(name: str, said: str, text: str) -> str:
    return (
        re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", lambda _: said, text, flags=re.IGNORECASE)
        if name
        else text
    )
