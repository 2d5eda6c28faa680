"""What a file would do to the school, said so that a director can decide. Pure."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

from curriculum.spreadsheet.values import FieldChange
from curriculum.travel import values
from curriculum.travel.merge import merge_curriculum
from curriculum.travel.merged import Merged, MergedDance
from curriculum.travel.saying import say, say_dance
from curriculum.travel.values import Mistake


@dataclass(frozen=True, slots=True)
class ChangedThing:
    name: str
    fields: tuple[FieldChange, ...]


@dataclass(frozen=True, slots=True)
class KindChanges:
    """Things of one kind in a dance. `kind`: e.g. "figures"; `absent`: how many the file leaves alone."""

    kind: str
    new: tuple[str, ...]
    changed: tuple[ChangedThing, ...]
    same: int
    absent: int


@dataclass(frozen=True, slots=True)
class DanceChanges:
    name: str
    is_new: bool
    fields: tuple[FieldChange, ...]
    kinds: tuple[KindChanges, ...]

    @property
    def nothing(self) -> bool:
        return not (self.is_new or self.fields or any(kind.new or kind.changed for kind in self.kinds))


@dataclass(frozen=True, slots=True)
class Changes:
    """With one mistake nothing is done."""

    dances: tuple[DanceChanges, ...]
    mistakes: tuple[Mistake, ...]

    @property
    def nothing(self) -> bool:
        return not self.mistakes and all(dance.nothing for dance in self.dances)

    @property
    def counted(self) -> tuple[int, int]:
        """How many things would be new, and how many changed; dances count."""
        kinds = [kind for dance in self.dances for kind in dance.kinds]
        new = sum(dance.is_new for dance in self.dances) + sum(len(kind.new) for kind in kinds)
        changed = sum(bool(dance.fields) for dance in self.dances) + sum(len(kind.changed) for kind in kinds)
        return new, changed

    @property
    def in_words(self) -> str:
        """What would be written, e.g. "3 new and 1 changed"; empty for nothing."""
        counted = zip(self.counted, ("new", "changed"), strict=True)
        return " and ".join(f"{number} {what}" for number, what in counted if number)

    def fingerprint(self) -> str:
        """The same for the same changes, whenever and wherever they are worked out."""
        return hashlib.sha256(repr(self).encode()).hexdigest()


def compare(
    wanted: values.Curriculum, standing: values.Curriculum, mistakes: Iterable[Mistake] = ()
) -> tuple[tuple[MergedDance, ...], Changes]:
    """The dances afterwards, and what is new and changed in them. `mistakes`: found while reading."""
    found = list(mistakes)
    merged = merge_curriculum(wanted, standing, found)
    return merged, Changes(tuple(map(_dance, merged)), tuple(dict.fromkeys(found)))


def _dance(merged: MergedDance) -> DanceChanges:
    kinds = ("levels", "holds", "rhythms", "figures", "routines")
    fields = _differences(say_dance(merged.before), say_dance(merged.value)) if merged.before else ()
    return DanceChanges(
        name=merged.value.name,
        is_new=merged.before is None,
        fields=fields,
        kinds=tuple(_kind(kind, getattr(merged, kind)) for kind in kinds),
    )


def _kind(kind: str, rows: Sequence[Merged[Any]]) -> KindChanges:
    changed = tuple(
        ChangedThing(str(row.was), _differences(say(row.before, str(row.was)), say(row.value)))
        for row in rows
        if row.is_changed
    )
    return KindChanges(
        kind=kind,
        new=tuple(row.value.name for row in rows if row.is_new),
        changed=changed,
        same=sum(row.spoken_of and not row.is_new and not row.is_changed for row in rows),
        absent=sum(not row.spoken_of for row in rows),
    )


def _differences(
    before: Mapping[str, Sequence[str]], after: Mapping[str, Sequence[str]]
) -> tuple[FieldChange, ...]:
    """The fields that differ; of a field of many lines only the lines that do."""
    changes = []
    for name in dict.fromkeys([*before, *after]):
        old, new = list(before.get(name, ())), list(after.get(name, ()))
        if old != new:
            gone, come = _only_what_differs(old, new)
            changes.append(FieldChange(name.replace("_", " "), "\n".join(gone), "\n".join(come)))
    return tuple(changes)


def _only_what_differs(old: list[str], new: list[str]) -> tuple[list[str], list[str]]:
    gone: list[str] = []
    come: list[str] = []
    for kind, old_from, old_to, new_from, new_to in SequenceMatcher(None, old, new, False).get_opcodes():
        if kind != "equal":
            gone += old[old_from:old_to]
            come += new[new_from:new_to]
    return gone, come
