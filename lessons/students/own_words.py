"""What a student keeps for themselves about a figure: a mark in each role, and a note."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from curriculum.hooks import RenderedSection
from curriculum.models import Figure, FloorRole
from lessons.models import Mark, OwnMark, OwnNote
from school.models import Person


@dataclass(frozen=True)
class OwnWords:
    """marks: role on the floor -> mark; a role without one is not there."""

    marks: dict[str, str]
    has_note: bool = False

    @property
    def said(self) -> list[tuple[str, str, str]]:
        """(role, "leader", "if I think"), leaders first."""
        return [
            (role.value, role.label, Mark(self.marks[role]).label) for role in FloorRole if role in self.marks
        ]


@dataclass(frozen=True)
class MarkRow:
    """A role of the form. choices: (value, words, whether it is the mark that stands)."""

    role: str
    label: str
    choices: tuple[tuple[str, str, bool], ...]


def own_words(person: Person, figures: Collection[int]) -> dict[int, OwnWords]:
    """Figure (pk) -> what the person keeps about it, for those of `figures` with anything. Two queries."""
    marks: dict[int, dict[str, str]] = {}
    rows = OwnMark.objects.filter(person=person, figure__in=figures).order_by()
    for figure, role, mark in rows.values_list("figure", "role", "mark"):
        marks.setdefault(figure, {})[role] = mark
    noted = set(
        OwnNote.objects.filter(person=person, figure__in=figures).order_by().values_list("figure", flat=True)
    )
    return {figure: OwnWords(marks.get(figure, {}), figure in noted) for figure in marks.keys() | noted}


def mine(figure: Figure, reader: Person) -> RenderedSection | None:
    """The section of a figure's page where a student marks and notes. Two queries; None for who learns
    nothing here."""
    if not reader.is_student:
        return None
    marks = dict(OwnMark.objects.filter(person=reader, figure=figure).order_by().values_list("role", "mark"))
    note = OwnNote.objects.filter(person=reader, figure=figure).first()
    rows = tuple(_row(role, marks.get(role.value, "")) for role in FloorRole)
    own = {"figure": figure, "rows": rows, "note": note}
    return RenderedSection(
        "mine",
        "For myself",
        template="lessons/_own_words.html",
        own=own,
        style="lessons/own_words.css",
        script="lessons/own-marks.js",
        early=True,
    )


def _row(role: FloorRole, mark: str) -> MarkRow:
    choices = tuple((choice.value, str(choice.label), choice.value == mark) for choice in Mark)
    return MarkRow(role.value, str(role.label), choices)
