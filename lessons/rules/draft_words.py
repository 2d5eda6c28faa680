"""What changed between two states of a draft, in sentences of the trade."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from lessons.rules.importance import importance_word

# So many figures are named one by one; a whole term planned anew is told in one sentence.
NAMED = 4
TOGETHER, APART = "together", "apart"


@dataclass(frozen=True)
class Stand:
    """What a draft does with one figure. Lessons are named by any key; `new`: of each part, in order."""

    required: bool = True
    importance: int = 1
    parts: int = 1
    earliest: int | None = None
    latest: int | None = None
    pinned: int | None = None
    new: tuple[int, ...] = ()
    again: tuple[tuple[int, int], ...] = ()
    barred: tuple[int, ...] = ()

    @property
    def begins(self) -> int | None:
        return self.new[0] if self.new else None

    @property
    def reviewed(self) -> tuple[int, ...]:
        return tuple(lesson for lesson, _ in self.again)


@dataclass(frozen=True)
class DraftState:
    """`figures`: by key; `sets`: kind and members (keys) of each."""

    figures: Mapping[int, Stand] = field(hash=False)
    sets: tuple[tuple[str, tuple[int, ...]], ...] = ()


@dataclass(frozen=True)
class Called:
    """How figures and lessons are called: names, and numbers as people count lessons, from 1.

    `been`: lessons that have been; what is still planned for one of them stands in no lesson.
    """

    figures: Mapping[int, str] = field(hash=False)
    lessons: Mapping[int, int] = field(hash=False)
    been: frozenset[int] = frozenset()

    def lesson(self, key: int) -> str:
        number = self.lessons.get(key)
        return f"lesson {number}" if number else "a lesson that fell out"

    def several(self, keys: tuple[int, ...]) -> str:
        numbers = [str(self.lessons[key]) for key in keys if key in self.lessons]
        return f"lesson{'s' if len(numbers) > 1 else ''} {_listed(numbers)}" if numbers else "no lesson"


def told(before: DraftState, after: DraftState, called: Called) -> list[str]:
    """Every difference, each in one sentence; more than a few figures that only moved are told together."""
    changed = [
        key
        for key in {**before.figures, **after.figures}
        if before.figures.get(key) != after.figures.get(key)
    ]
    said: list[str] = []
    if len(changed) > NAMED:
        said.append(_summed(changed, before, after, called))
    else:
        for key in changed:
            said += _figure(called.figures[key], before.figures.get(key), after.figures.get(key), called)
    return [*said, *_sets(before, after, called)]


def asked(before: DraftState, after: DraftState, called: Called) -> tuple[dict[int, list[str]], list[str]]:
    """Figure -> what is asked of it otherwise than before; and the sets that differ. Of figures that stand in
    both and have a name here."""
    found = {
        key: list(_demands(called.figures[key], stand, after.figures[key], called))
        for key, stand in before.figures.items()
        if key in after.figures and key in called.figures
    }
    return found, list(_sets(before, after, called))


def _summed(changed: list[int], before: DraftState, after: DraftState, called: Called) -> str:
    moved = [key for key in changed if _begins(before, key) != _begins(after, key)]
    names = _listed([called.figures[key] for key in (moved or changed)[:3]])
    more = len(moved or changed) - 3
    rest = f" and {more} more" if more > 0 else ""
    if not moved:
        return f"{len(changed)} figures changed: {names}{rest}."
    return f"{len(moved)} figures went to other lessons: {names}{rest}."


def _begins(state: DraftState, key: int) -> int | None:
    stand = state.figures.get(key)
    return stand.begins if stand else None


def _figure(name: str, before: Stand | None, after: Stand | None, called: Called) -> Iterator[str]:
    if before is None or after is None:
        yield f"{name} was {'taken out of' if after is None else 'put into'} what the draft teaches."
        return
    yield from _places(name, before, after, called)
    yield from _demands(name, before, after, called)


def _demands(name: str, before: Stand, after: Stand, called: Called) -> Iterator[str]:
    yield from _bounds(name, before, after, called)
    if before.required != after.required:
        yield f"{name} {'must be taught' if after.required else 'may be left out'}."
    if before.importance != after.importance:
        yield f"{name} matters {importance_word(after.importance)}."
    if before.parts != after.parts:
        yield f"{name} is taught in {after.parts} {'part' if after.parts == 1 else 'parts'}."


def _places(name: str, before: Stand, after: Stand, called: Called) -> Iterator[str]:
    old, new = before.begins, after.begins
    if old != new:
        if new is None:
            yield f"{name} was taken out of {called.lesson(old or 0)}."
        elif old is None or old in called.been or old not in called.lessons:
            yield f"{name} was put into {called.lesson(new)}."
        else:
            yield f"{name} went from {called.lesson(old)} to {called.lesson(new)}."
    elif before.reviewed != after.reviewed:
        was = f", before in {called.several(before.reviewed)}" if before.again else ""
        yield f"{name} comes again in {called.several(after.reviewed)}{was}."


def _bounds(name: str, before: Stand, after: Stand, called: Called) -> Iterator[str]:
    if before.pinned != after.pinned:
        yield (
            f"{name} is kept in {called.lesson(after.pinned)}."
            if after.pinned
            else f"{name} is no longer kept in {called.lesson(before.pinned or 0)}."
        )
    if before.earliest != after.earliest:
        yield (
            f"{name} comes not before {called.lesson(after.earliest)}."
            if after.earliest
            else f"{name} may come from the first lesson on."
        )
    if before.latest != after.latest:
        yield (
            f"{name} is begun by {called.lesson(after.latest)}."
            if after.latest
            else f"{name} may come until the last lesson."
        )
    if before.barred != after.barred:
        yield (
            f"{name} is not new in {called.several(after.barred)}."
            if after.barred
            else f"{name} may be new in every lesson."
        )


def _sets(before: DraftState, after: DraftState, called: Called) -> Iterator[str]:
    words = {TOGETHER: "belong on one evening", APART: "never stand on one evening"}
    gone = {TOGETHER: "need not share an evening any more", APART: "may share an evening again"}
    old, new = set(before.sets), set(after.sets)
    for kind, members in sorted(new - old):
        yield f"{_names(members, called)} {words[kind]}."
    for kind, members in sorted(old - new):
        yield f"{_names(members, called)} {gone[kind]}."


def _names(members: tuple[int, ...], called: Called) -> str:
    return _listed([called.figures.get(key, "a figure that is gone") for key in members])


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
