"""Tonight's segments: what an evening holds, put into the order and the minutes of its lesson shape.

Plain values in, plain values out. `sheet_of` gives a run-sheet that fits the lesson to the minute whatever it
holds: what has no room is left out and named, what stays empty is given away and named.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from lessons.planners.tonight import Segment, TimedSegment, TooLong, TooShort, fit
from lessons.rules.sheet_changes import KEPT, Change, changed

# Common practice, no source: the usual hour, for a school that has written down no shape of its own.
USUAL_TITLES = {
    "arrive": "Arrive and register",
    "warm_up": "Warm-up",
    "recap": "Last time",
    "review": "Again",
    "carry": "Carry over",
    "new": "New",
    "routine": "Routine",
    "practice": "Practice to music",
    "close": "Close and notices",
}
ORDER = tuple(USUAL_TITLES)
# What is missed least goes first. A review or a new figure can be taken up by the term plan; a warm-up can't.
GIVES_WAY = {
    "recap": 11,
    "practice": 10,
    "routine": 9,
    "review": 5,
    "new": 4,
    "carry": 3,
    "close": 2,
    "arrive": 1,
    "warm_up": 0,
}
# A figure that the term plan can still take up goes before every figure that it can't.
_CAN_WAIT_WEIGHS = 3
_OWN_WORD_WEIGHS = 100


@dataclass(frozen=True, slots=True)
class ShapeRow:
    """A kind of segment with its least, ideal and most minutes for the whole evening."""

    kind: str
    least: int
    ideal: int
    most: int
    give_way: int = 0


USUAL_SHAPE = (
    ShapeRow("arrive", 2, 3, 5),
    ShapeRow("warm_up", 4, 5, 8),
    ShapeRow("recap", 5, 8, 12),
    ShapeRow("review", 0, 6, 15),
    ShapeRow("new", 10, 18, 28),
    ShapeRow("routine", 5, 9, 15),
    ShapeRow("practice", 4, 8, 15),
    ShapeRow("close", 2, 3, 4),
)


@dataclass(frozen=True, slots=True)
class Item:
    """A figure tonight.

    minutes: what it needs, at least 1; kept: what the plan sets aside for it, all of them unless said; part
    from 0, of `parts`; can_wait: the term plan still holds if it comes in a later lesson instead.
    """

    key: str
    minutes: int
    part: int = 0
    parts: int = 1
    kept: int | None = None
    can_wait: bool = False

    @property
    def kept_minutes(self) -> int:
        return self.minutes if self.kept is None else self.kept


@dataclass(frozen=True, slots=True)
class Evening:
    """What a lesson of `minutes` holds. danced: figures that come again inside the routine, a minute each."""

    minutes: int
    shape: tuple[ShapeRow, ...] = USUAL_SHAPE
    recap: bool = False
    routine: bool = False
    again: tuple[Item, ...] = ()
    carry: tuple[Item, ...] = ()
    new: tuple[Item, ...] = ()
    danced: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """Timed segments that add up to the lesson exactly.

    left_out: what has no room, in the order in which it gives way. missing: minutes by which the lesson is
    too short for everything at its shortest. spare: minutes no segment would have taken, given to one all
    the same. squeezed: figures get less than the plan sets aside for them.
    """

    segments: tuple[TimedSegment, ...]
    left_out: tuple[Segment, ...] = ()
    missing: int = 0
    spare: int = 0
    squeezed: bool = False


def sheet_of(evening: Evening, changes: Sequence[Change] = ()) -> Sheet:
    """The evening, as `changes` want it, as a sheet of exactly its minutes.

    First every figure keeps the minutes the plan sets aside for it. Only where that is too much do figures
    shrink to the shape's least; and only where that is still too much is something left out.
    """
    planned = changed(segments_of(evening), changes)
    if sum(segment.least for segment in planned) <= evening.minutes:
        return _filled(planned, evening.minutes)
    shortest = changed(segments_of(evening, keep_minutes=False), changes)
    try:
        return replace(_filled(shortest, evening.minutes), squeezed=True)
    except TooShort as short:
        kept = [segment for segment in shortest if segment not in short.segments]
        return replace(
            _filled(kept, evening.minutes), left_out=short.segments, missing=short.missing, squeezed=True
        )


def segments_of(evening: Evening, *, keep_minutes: bool = True) -> tuple[Segment, ...]:
    """The evening's segments in order. keep_minutes: no figure gets less than the plan sets aside for it."""
    segments: list[Segment] = []
    for row in _rows_in_order(evening):
        items = _items(evening, row.kind)
        if items is not None:
            segments.extend(_figure_segments(row, items, keep_minutes))
        elif _takes_place(evening, row.kind):
            segments.append(_plain_segment(evening, row))
    return tuple(segments)


def share(total: int, weights: Sequence[int]) -> list[int]:
    """`total` whole minutes over `weights`, in proportion; what is left over goes to the largest rests,
    of equals to the earlier one."""
    whole = sum(weights)
    shares = [total * weight // whole for weight in weights]
    rests = sorted(range(len(weights)), key=lambda place: (-(total * weights[place] % whole), place))
    for place in rests[: total - sum(shares)]:
        shares[place] += 1
    return shares


def _rows_in_order(evening: Evening) -> tuple[ShapeRow, ...]:
    """The shape's rows; carry over just before new; a kind of figure the shape has forgotten in its usual
    place, for what is planned must be taught."""
    rows = list(evening.shape)
    for kind in ("review", "new", "carry"):
        if _items(evening, kind) and all(row.kind != kind for row in rows):
            usual = next((row for row in USUAL_SHAPE if row.kind == kind), None)
            # Carry over has no minutes of its own in a shape: each figure brings what it still needs.
            rows.insert(_usual_place(rows, kind), usual or ShapeRow(kind, 0, 0, 0))
    return tuple(rows)


def _usual_place(rows: Sequence[ShapeRow], kind: str) -> int:
    after = ORDER[ORDER.index(kind) + 1 :]
    return next((place for place, row in enumerate(rows) if row.kind in after), len(rows))


def _items(evening: Evening, kind: str) -> tuple[Item, ...] | None:
    return {"review": evening.again, "carry": evening.carry, "new": evening.new}.get(kind)


def _takes_place(evening: Evening, kind: str) -> bool:
    return {"recap": evening.recap, "routine": evening.routine}.get(kind, True)


def _figure_segments(row: ShapeRow, items: Sequence[Item], keep_minutes: bool) -> Iterable[Segment]:
    """Each figure a segment. The row's minutes are shared out by the figures' own, which they never undercut
    as an ideal: 18 minutes of new for figures of 12 and 15 are 12 and 15, for one of 10 they are 18."""
    if not items:
        return
    weights = [item.minutes for item in items]
    ideals = share(max(row.ideal, sum(weights)), weights)
    mosts = share(max(row.most, sum(ideals)), weights)
    # An unfinished figure has no least in the shape: half of what it still needs is the least that helps.
    leasts = share(row.least, weights) if row.least else [-(-weight // 2) for weight in weights]
    for item, least, ideal, most in zip(items, leasts, ideals, mosts, strict=True):
        least = item.kept_minutes if keep_minutes else min(max(least, 1), item.minutes)
        ideal = max(ideal, least)
        yield Segment(
            row.kind, _title(row.kind, item), least, ideal, max(most, ideal), item.key, _gives_way(row, item)
        )


def _plain_segment(evening: Evening, row: ShapeRow) -> Segment:
    more = len(evening.danced) if row.kind == "routine" else 0
    title = USUAL_TITLES.get(row.kind, row.kind)
    return Segment(
        row.kind, title, row.least + more, row.ideal + more, row.most + more, None, _gives_way(row)
    )


def _title(kind: str, item: Item) -> str:
    title = f"{USUAL_TITLES[kind]}: {item.key}"
    return title if item.parts == 1 else f"{title}, part {item.part + 1} of {item.parts}"


def _gives_way(row: ShapeRow, item: Item | None = None) -> int:
    """The school's own word first; where it has said nothing, what is missed least."""
    waits = _CAN_WAIT_WEIGHS if item is not None and item.can_wait else 0
    return row.give_way * _OWN_WORD_WEIGHS + GIVES_WAY.get(row.kind, 0) + waits


def _filled(segments: Sequence[Segment], minutes: int) -> Sheet:
    """Fit; where minutes stay empty, practice takes them (else the last segment), but nothing whose minutes
    somebody keeps while there is anything else. Raises TooShort."""
    try:
        return Sheet(_seen(fit(segments, minutes)))
    except TooLong as long:
        return Sheet(_seen(fit(_stretched(segments, long.spare), minutes)), spare=long.spare)


def _stretched(segments: Sequence[Segment], spare: int) -> list[Segment]:
    if not segments:
        return [Segment("open", "What there is time for", 0, spare, spare)]
    free = [at for at, segment in enumerate(segments) if segment.give_way != KEPT]
    last = free[-1] if free else len(segments) - 1
    place = next((at for at in free if segments[at].kind == "practice"), last)
    longer = replace(segments[place], most=segments[place].most + spare)
    return [longer if at == place else segment for at, segment in enumerate(segments)]


def _seen(timed: Iterable[TimedSegment]) -> tuple[TimedSegment, ...]:
    """Without the segments that came out at no minutes: nobody does anything in them."""
    return tuple(segment for segment in timed if segment.minutes)
