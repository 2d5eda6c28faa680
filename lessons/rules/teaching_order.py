"""How a new figure is taught: leader's part, follower's part, counts, in hold, lead and response, with music
slow and then at tempo, faults to watch for. Its minutes are shared out over these.

Common practice, no source: the order, and the shares.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from lessons.planners.tonight import Segment, TooShort, fit


@dataclass(frozen=True, slots=True)
class Notes:
    """What is known of a figure, in sentences; what is not known stays empty. is_technique: taught without
    steps, by everybody alone first and then in pairs. faults: (fault, remedy)."""

    is_technique: bool = False
    leader: str = ""
    follower: str = ""
    counts: str = ""
    hold: str = ""
    lead: str = ""
    response: str = ""
    slow: str = ""
    at_tempo: str = ""
    faults: tuple[tuple[str, str], ...] = ()
    notes: str = ""


@dataclass(frozen=True, slots=True)
class OrderStep:
    """One step of the order. key: what it is, "leader" to "faults"; start: minutes after the figure's
    beginning; minutes 0: beside the others, for there was no minute of its own left; says: what to say in it,
    line by line."""

    key: str
    title: str
    start: int
    minutes: int
    says: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Share:
    """A step's part of the whole in per cent, and what goes first when there are too few minutes."""

    key: str
    title: str
    per_cent: int
    give_way: int


_FIGURE = (
    _Share("leader", "Leader’s part", 16, 2),
    _Share("follower", "Follower’s part", 16, 1),
    _Share("counts", "Counts", 10, 6),
    _Share("hold", "In hold", 18, 0),
    _Share("lead", "Lead and response", 12, 4),
    _Share("slow", "With music, slow", 12, 3),
    _Share("tempo", "With music, at tempo", 8, 7),
    _Share("faults", "Faults to watch for", 8, 5),
)
_TECHNIQUE = (
    _Share("alone", "Everybody alone", 30, 1),
    _Share("pairs", "In pairs", 26, 0),
    _Share("lead", "Lead and response", 14, 4),
    _Share("slow", "With music, slow", 14, 2),
    _Share("tempo", "With music, at tempo", 8, 5),
    _Share("faults", "Faults to watch for", 8, 3),
)


def teaching_order(notes: Notes, minutes: int) -> tuple[OrderStep, ...]:
    """The figure's `minutes` over its steps: exactly, near the shares, at least 1 each where they fit.

    With fewer minutes than steps those that are missed least have none of their own, and stand in their
    place all the same.
    """
    shares = _TECHNIQUE if notes.is_technique else _FIGURE
    segments = [
        Segment(
            share.key,
            share.title,
            1,
            round(minutes * share.per_cent / 100),
            max(minutes, 1),
            None,
            share.give_way,
        )
        for share in shares
    ]
    given = _given(segments, minutes)
    steps, start = [], 0
    for share in shares:
        own = given.get(share.key, 0)
        steps.append(OrderStep(share.key, share.title, start, own, tuple(_says(share.key, notes))))
        start += own
    return tuple(steps)


def _given(segments: list[Segment], minutes: int) -> dict[str, int]:
    try:
        timed = fit(segments, minutes)
    except TooShort as short:
        timed = fit([segment for segment in segments if segment not in short.segments], minutes)
    return {one.segment.kind: one.minutes for one in timed}


def _says(key: str, notes: Notes) -> Iterable[str]:
    said = {
        "leader": (notes.notes, notes.leader),
        "alone": (notes.notes,),
        "follower": (notes.follower,),
        "counts": (notes.counts,),
        "hold": (notes.hold,),
        "pairs": (notes.hold,),
        "lead": (_named("Lead", notes.lead), _named("Answer", notes.response)),
        "slow": (notes.slow,),
        "tempo": (notes.at_tempo,),
        "faults": tuple(f"{fault} → {remedy}" for fault, remedy in notes.faults),
    }
    return filter(None, said[key])


def _named(word: str, text: str) -> str:
    return f"{word}: {text}" if text else ""
