"""Tonight's minutes: segments of a lesson fitted into its length.

Every segment has an ideal length and bounds. The lesson's minutes are shared out so that they add up exactly
and lie as near the ideals as can be, near meaning the least sum of squared differences: everybody gives a
little rather than one segment giving everything.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Segment:
    """A piece of the lesson. least, ideal, most: whole minutes.

    figure: key of the figure it is about, if any. give_way: what goes first when the lesson is too short,
    highest first.
    """

    kind: str
    title: str
    least: int
    ideal: int
    most: int
    figure: str | None = None
    give_way: int = 0

    def __post_init__(self) -> None:
        if not 0 <= self.least <= self.most:
            raise ValueError(
                f"{self.title}: the least minutes ({self.least}) lie between 0 and the most ({self.most})."
            )


@dataclass(frozen=True, slots=True)
class TimedSegment:
    """A segment with its minutes; start: minutes after the lesson's beginning."""

    start: int
    minutes: int
    segment: Segment


class TooShort(ValueError):  # noqa: N818 (the name is what a teacher says)
    """The least minutes of all segments together are more than the lesson has.

    segments: what does not fit, in the order in which it gives way; without them the rest fits, and none of
    them could be put back. missing: minutes by which the lesson is too short for everything.
    """

    def __init__(self, segments: tuple[Segment, ...], missing: int) -> None:
        titles = _listed([segment.title for segment in segments])
        verb = "does" if len(segments) == 1 else "do"
        super().__init__(
            f"The lesson is {_minutes(missing)} too short, even with every segment at its shortest: "
            f"{titles} {verb} not fit."
        )
        self.segments = segments
        self.missing = missing


class TooLong(ValueError):  # noqa: N818 (the name is what a teacher says)
    """The lesson has `spare` minutes that no segment may take up."""

    def __init__(self, spare: int) -> None:
        verb = "is" if spare == 1 else "are"
        super().__init__(f"With every segment at its longest, {_minutes(spare)} {verb} still empty.")
        self.spare = spare


def fit(segments: Sequence[Segment], minutes: int) -> tuple[TimedSegment, ...]:
    """Share out exactly `minutes` over the segments, in their order.

    Of all ways that stay within least and most, one with the least sum of squared differences from the
    ideals; among equals the one that gives the earlier segments more (lexicographically greatest). A segment
    may come out at 0 minutes if its least is 0. TooShort, TooLong if there is no way.
    """
    if minutes < 0:
        raise ValueError(f"A lesson has no {minutes} minutes.")
    missing = sum(segment.least for segment in segments) - minutes
    if missing > 0:
        raise TooShort(_giving_way(segments, missing), missing)
    spare = minutes - sum(segment.most for segment in segments)
    if spare > 0:
        raise TooLong(spare)
    return _timed(segments, _shares(segments, minutes))


def _shares(segments: Sequence[Segment], minutes: int) -> list[int]:
    """Minutes of each segment.

    The first minute beyond ideal + t costs 2t + 1 more than it saves, for every segment alike. So the best
    shares are "ideal + t, within the bounds" for the greatest t that is not too much, and what is then left
    is one minute for each of some segments that can still grow at the same cost: the first ones, for the
    tie. (Marginal costs of separable convex functions: greedy is exact.)
    """
    if not segments:
        return []
    lowest = min(segment.least - segment.ideal for segment in segments)
    highest = max(segment.most - segment.ideal for segment in segments)
    levels = range(lowest, highest + 1)
    level = levels[bisect_right(levels, minutes, key=lambda level: sum(_at_level(segments, level))) - 1]
    shares = _at_level(segments, level)
    left = minutes - sum(shares)
    for place, more in enumerate(_at_level(segments, level + 1)):
        if left and more > shares[place]:
            shares[place] = more
            left -= 1
    return shares


def _at_level(segments: Sequence[Segment], level: int) -> list[int]:
    return [min(max(segment.ideal + level, segment.least), segment.most) for segment in segments]


def _timed(segments: Sequence[Segment], shares: Sequence[int]) -> tuple[TimedSegment, ...]:
    timed = []
    start = 0
    for segment, share in zip(segments, shares, strict=True):
        timed.append(TimedSegment(start, share, segment))
        start += share
    return tuple(timed)


def _giving_way(segments: Sequence[Segment], missing: int) -> tuple[Segment, ...]:
    """What to leave out so that the rest fits: highest give_way first, of equals the later in the evening.

    What went early on is put back where a longer segment that had to go later makes room for it.
    """
    order = sorted(range(len(segments)), key=lambda place: (-segments[place].give_way, -place))
    out: list[int] = []
    freed = 0
    for place in order:
        if freed >= missing:
            break
        if segments[place].least:
            out.append(place)
            freed += segments[place].least
    for place in reversed(out.copy()):
        if freed - segments[place].least >= missing:
            freed -= segments[place].least
            out.remove(place)
    return tuple(segments[place] for place in out)


def _minutes(number: int) -> str:
    return "1 minute" if number == 1 else f"{number} minutes"


def _listed(titles: Sequence[str]) -> str:
    *first, last = titles
    return f"{', '.join(first)} and {last}" if first else last
