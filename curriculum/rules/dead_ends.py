"""Figures that end where nothing the couple knows takes them up (common practice, no source)."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from curriculum.rules.stance import Floor, Passage
from curriculum.rules.wording import PLAIN_WORDS, Words


def dead_ends(
    danced: Iterable[Passage],
    known: Iterable[Passage],
    *,
    floor: Floor,
    taught: Collection[str],
) -> tuple[Passage, ...]:
    """Passages of `danced`, a figure once, whose hold at the end no other taught figure of `known` begins in,
    not even after a free change. A hold that is not known is no dead end."""
    entries = [(passage.figure, passage.entry.hold) for passage in known if passage.figure in taught]
    found: dict[str, Passage] = {}
    for passage in danced:
        hold = passage.exit.hold
        if hold is None or passage.figure in found:
            continue
        others = (entry for figure, entry in entries if figure != passage.figure)
        if not any(entry is None or entry == hold or floor.frees(hold, entry) for entry in others):
            found[passage.figure] = passage
    return tuple(found.values())


def dead_end_sentence(passage: Passage, words: Words = PLAIN_WORDS) -> str:
    """ "Whisk ends in promenade, and nothing else taught by then begins there." """
    said = f"{words.figure(passage.figure)} ends {words.in_hold(passage.exit.hold)}, and nothing else taught"
    return f"{said[:1].upper()}{said[1:]} by then begins there."
