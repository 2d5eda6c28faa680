"""What mends a broken join of a routine: rows of known figures, or what is missing for one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from curriculum.routine_bench import Bench, Dances
from curriculum.routine_history import item_words
from curriculum.rules.chain import Passage, find_links
from curriculum.rules.missing_link import MissingLink, missing_for_link
from curriculum.rules.wording import Words, spoken_list

MOST_BRIDGES = 3


@dataclass(frozen=True)
class Bridge:
    """Figures that mend the join before the chosen one. keys: as a form sends them."""

    keys: str
    names: tuple[str, ...]
    beats: Fraction


def mends_at(bench: Bench, at: int) -> tuple[tuple[Bridge, ...], tuple[str, ...]]:
    """Up to three rows of known figures that mend the join into the item `at`; where there is none, what is
    missing for one, in sentences. No query."""
    chosen, dances = bench.items[at - 1], bench.dances
    stance, before = bench.stances[at - 1], bench.danced_before(at - 1)
    if not isinstance(chosen, Passage) or before is None:
        return (), ()
    known, give = bench.page.moment.known, before.give
    rows = find_links(
        stance,
        chosen.entry,
        dances.passages,
        floor=dances.floor,
        taught=known,
        give=give,
        count=MOST_BRIDGES,
    )
    if rows:
        return tuple(_bridge(dances, row) for row in rows), ()
    missing = missing_for_link(
        stance, chosen.entry, dances.passages, floor=dances.floor, taught=known, give=give
    )
    return (), tuple(_missing_words(missing, dances.words))


def _bridge(dances: Dances, row: Sequence[Passage]) -> Bridge:
    found = [dances.rows[passage] for passage in row]
    return Bridge(
        keys=",".join(str(one.pk) for one in found),
        names=tuple(item_words(one.figure.name, one.label) for one in found),
        beats=sum((one.beats for one in found), Fraction(0)),
    )


def _missing_words(missing: MissingLink, words: Words) -> Iterable[str]:
    for teach in missing.figures:
        yield f"If {spoken_list(teach.figures)} were taught, {_row_words(teach.row)} would connect it."
    for change in missing.changes:
        allowed = f"If {words.hold(change.hold)} could turn into {words.hold(change.into)} between figures"
        yield f"{allowed}, {_row_words(change.row) or 'it'} would connect{' it' if change.row else ''}."


def _row_words(row: Sequence[Passage]) -> str:
    return ", then ".join(passage.figure for passage in row)
