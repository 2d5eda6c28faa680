"""A chart as a table against the ruler of counts: a row a moment, both roles side by side."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from curriculum.models import ChartStep, FloorRole, StepChart
from curriculum.models.dances import TICKS_PER_BEAT

ROLES = {FloorRole.LEADER.value: "leader", FloorRole.FOLLOWER.value: "follower"}
_ANCHOR = re.compile(r"\banchor", re.IGNORECASE)
_EIGHTHS = {1: "⅛", 2: "¼", 3: "⅜", 4: "½", 5: "⅝", 6: "¾", 7: "⅞"}


@dataclass
class Moment:
    """One row. `mark`: what the ruler shows there, "bar", "beat" or "off" (between two beats)."""

    mark: str
    bar: int | None = None
    count: str = ""
    leader: ChartStep | None = None
    follower: ChartStep | None = None
    hold: str = ""
    cues: list[str] = field(default_factory=list)
    is_anchor: bool = False


def moments(chart: StepChart, *, beats_per_bar: int, role: str = "") -> list[Moment]:
    """The chart's rows in time. Reads `chart.steps` and each step's hold: prefetch them.

    `role`: "leader" or "follower" for the rows and cues of that role alone, with the holds of both.
    `is_anchor`: a cue says that the couple anchors there; the eye looks for that row first.

    A chart whose first count is a number begins on that beat of the bar (cha-cha on 2), so the bar lines of
    the ruler fall where the music has them.
    """
    steps = list(chart.steps.all())
    begins = first_beat(steps, beats_per_bar)
    at: dict[int, Moment] = {}
    since: dict[str, int] = defaultdict(int)
    for step in steps:
        offset = since[step.role]
        since[step.role] += step.ticks
        moment = at.setdefault(offset, _moment(offset + begins * TICKS_PER_BEAT, beats_per_bar))
        moment.count = moment.count or step.count
        if step.role == FloorRole.LEADER:
            moment.leader = step
        else:
            moment.follower = step
        if step.hold is not None:
            moment.hold = step.hold.name
        own = role in ("", ROLES[step.role])
        moment.is_anchor = moment.is_anchor or bool(_ANCHOR.search(step.cue))
        if step.cue and step.cue not in moment.cues and (own or _ANCHOR.search(step.cue)):
            moment.cues.append(step.cue)
    rows = [at[offset] for offset in sorted(at) if not role or getattr(at[offset], role)]
    if rows and rows[0].bar is None:
        rows[0].bar = begins // beats_per_bar + 1
    return rows


def turn_words(eighths: int) -> str:
    """e.g. "¼ to the right"; empty for no turn."""
    if not eighths:
        return ""
    whole, rest = divmod(abs(eighths), 8)
    size = f"{whole or ''}{_EIGHTHS.get(rest, '')}"
    turn = {"1": "a whole turn"}.get(size, size)
    return f"{turn} to the {'right' if eighths > 0 else 'left'}"


def _moment(ticks: int, beats_per_bar: int) -> Moment:
    bar_ticks = beats_per_bar * TICKS_PER_BEAT
    if ticks % bar_ticks == 0:
        return Moment("bar", bar=ticks // bar_ticks + 1)
    return Moment("off" if ticks % TICKS_PER_BEAT else "beat")


def first_beat(steps: Iterable[ChartStep], beats_per_bar: int) -> int:
    """Beats of the bar that have passed when the chart begins."""
    first = next(iter(steps), None)
    if first is None or not first.count.isdecimal():
        return 0
    return (int(first.count) - 1) % beats_per_bar
