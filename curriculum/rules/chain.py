"""The check of a whole routine, and the door to everything about figures in a row.

Stances and passages are in stance.py, single joins in joins.py, the mending of a broken one in links.py;
their names are to be had here as well.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from curriculum.rules.joins import Join, join_between, joins
from curriculum.rules.links import find_link, find_links
from curriculum.rules.stance import (
    CORNER,
    UNKNOWN,
    Corner,
    Floor,
    Passage,
    RoutineItem,
    Stance,
    round_the_corner,
    stance_after,
    stances_along,
)
from curriculum.rules.wording import PLAIN_WORDS, Words, amount, sentence

__all__ = [
    "CORNER",
    "UNKNOWN",
    "Corner",
    "Finding",
    "Floor",
    "Join",
    "Passage",
    "RoutineItem",
    "RoutineReport",
    "Stance",
    "Words",
    "check_routine",
    "find_link",
    "find_links",
    "join_between",
    "joins",
    "round_the_corner",
    "stance_after",
    "stances_along",
]

FindingKind = Literal["untaught", "broken", "not whole bars", "not whole phrases"]


@dataclass(frozen=True, slots=True)
class Finding:
    """Something to see to. place: the item of the routine it speaks of, from 0; None = the whole routine."""

    kind: FindingKind
    place: int | None
    sentence: str


@dataclass(frozen=True, slots=True)
class RoutineReport:
    """What a routine comes to.

    joins: one between every two figures that follow each other, whether a corner lies between them or not;
    so joins[n] leads into the figure number n + 1, corners not counted.
    danceable: how many items from the start can be danced (`routine[:danceable]`, corners counted as items):
    up to the first figure that is not taught or whose join before it is broken. It ends with a figure, never
    with a corner nothing follows, unless the whole routine can be danced: then it is the routine's length.
    """

    joins: tuple[Join, ...]
    findings: tuple[Finding, ...]
    beats: Fraction
    bars: Fraction
    phrases: Fraction
    danceable: int


@dataclass(frozen=True, slots=True)
class _Arrival:
    """How a routine comes to one of its figures; join is None for the first."""

    place: int
    passage: Passage
    join: Join | None


def check_routine(
    passages: Sequence[RoutineItem],
    *,
    floor: Floor,
    taught: Collection[str],
    bar_beats: int | Fraction,
    phrase_bars: int = 8,
    words: Words = PLAIN_WORDS,
) -> RoutineReport:
    """Check a routine: every join, what is not taught, and how it fits the music.

    bar_beats: beats of a bar; phrase_bars: bars of a phrase (8 is the usual one); both above 0, or
    ValueError. taught: keys of the figures the couple knows. words: names for keys in the sentences.
    """
    if bar_beats <= 0 or phrase_bars <= 0:
        raise ValueError("A bar has beats and a phrase has bars: both above nought.")
    arrivals = tuple(_arrivals(passages, floor, words))
    beats = sum((Fraction(arrival.passage.beats) for arrival in arrivals), Fraction(0))
    bars = beats / Fraction(bar_beats)
    phrases = bars / phrase_bars
    findings = [
        *_findings_on_the_way(arrivals, taught, words),
        *_findings_on_the_music(beats, bars, phrases, Fraction(bar_beats), phrase_bars),
    ]
    return RoutineReport(
        joins=tuple(arrival.join for arrival in arrivals if arrival.join is not None),
        findings=tuple(findings),
        beats=beats,
        bars=bars,
        phrases=phrases,
        danceable=_danceable(arrivals, taught, len(passages)),
    )


def _arrivals(routine: Sequence[RoutineItem], floor: Floor, words: Words) -> Iterator[_Arrival]:
    stances = stances_along(routine)
    last: Passage | None = None
    for place, item in enumerate(routine):
        if isinstance(item, Corner):
            continue
        join = None
        if last is not None:
            figures = (last.figure, item.figure)
            join = join_between(
                stances[place], item.entry, floor=floor, give=last.give, words=words, figures=figures
            )
        yield _Arrival(place, item, join)
        last = item


def _findings_on_the_way(
    arrivals: Sequence[_Arrival], taught: Collection[str], words: Words
) -> Iterator[Finding]:
    for arrival in arrivals:
        if arrival.join is not None and arrival.join.status == "broken":
            yield Finding("broken", arrival.place, sentence(arrival.join.reason))
        if arrival.passage.figure not in taught:
            name = words.figure(arrival.passage.figure)
            yield Finding("untaught", arrival.place, sentence(f"{name} is not taught yet"))


def _findings_on_the_music(
    beats: Fraction, bars: Fraction, phrases: Fraction, bar_beats: Fraction, phrase_bars: int
) -> Iterator[Finding]:
    if bars.denominator != 1:
        yield Finding("not whole bars", None, _left_over(beats, "beat", bar_beats, "bar"))
    if phrases.denominator != 1:
        yield Finding("not whole phrases", None, _left_over(bars, "bar", Fraction(phrase_bars), "phrase"))


def _left_over(length: Fraction, unit: str, size: Fraction, whole: str) -> str:
    full, over = divmod(length, size)
    said = f"The routine is {amount(length, unit)} long"
    if not full:
        return f"{said}, less than a {whole} of {size}."
    return f"{said}: {amount(Fraction(full), whole)} of {size} and {amount(over, unit)} over."


def _danceable(arrivals: Sequence[_Arrival], taught: Collection[str], length: int) -> int:
    reached = 0
    for arrival in arrivals:
        broken = arrival.join is not None and arrival.join.status == "broken"
        if broken or arrival.passage.figure not in taught:
            return reached
        reached = arrival.place + 1
    return length
