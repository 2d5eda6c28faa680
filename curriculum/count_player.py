"""What the count player needs of a chart: its counts in ticks, the bar they lie in, the dance's tempi."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from curriculum.chart_table import ROLES, first_beat
from curriculum.models import ChartStep, Dance, FloorRole, StepChart
from curriculum.models.dances import TICKS_PER_BEAT
from curriculum.rules.steps import STILL_ACTIONS

# Bars a minute where a dance says nothing: beats of 60 to 180 a minute.
_SLOWEST_BEATS, _QUICKEST_BEATS = 60, 180
SLOWER = (60, 75, 90, 100)
"""Per cent of the tempo that can be chosen for practice."""


@dataclass
class Count:
    """A count of either role. `at`: ticks from the start; `leader`, `follower`: row of that role's own chart,
    None where it does nothing then. `is_held`: nobody moves. `begins`: the figure that begins with it, where
    several are danced in a row."""

    at: int
    said: str
    leader: int | None = None
    follower: int | None = None
    is_held: bool = True
    begins: str = ""


@dataclass(frozen=True)
class CountPlayer:
    """`score` goes to the page as JSON; `tempo`: bars a minute to begin with; `name`: what is counted;
    `role`: whose counts alone."""

    id: str
    counts: tuple[Count, ...]
    slowest: float
    quickest: float
    slower: tuple[int, ...]
    score: dict[str, Any]
    name: str
    role: str = ""

    @property
    def tempo(self) -> float:
        return round(self.slowest + self.quickest) / 2


def count_player(chart: StepChart, dance: Dance, *, role: str = "") -> CountPlayer | None:
    """The player of a chart; None for one without counts. Reads `chart.steps`: prefetch them.

    `role`: "leader" or "follower" for the counts of that role alone.
    """
    steps = [step for step in chart.steps.all() if role in ("", ROLES[step.role])]
    counts, ticks = _counts(steps)
    if not counts:
        return None
    begins = first_beat(steps, dance.beats_per_bar)
    name = f"{chart.figure.name}, {chart.name}" if chart.name else chart.figure.name
    return _player((str(chart.pk), name), counts, ticks, begins, dance, role)


def row_player(
    key: str, name: str, charts: Sequence[tuple[str, StepChart]], dance: Dance, *, role: str = ""
) -> CountPlayer | None:
    """One player for charts danced in a row: (name of the figure, its chart). As `count_player` otherwise."""
    row: list[Count] = []
    at, begins = 0, None
    for name, chart in charts:
        steps = [step for step in chart.steps.all() if role in ("", ROLES[step.role])]
        counts, ticks = _counts(steps)
        if not counts:
            continue
        if begins is None:
            begins = first_beat(steps, dance.beats_per_bar)
        counts[0].begins = name
        row.extend(replace(count, at=count.at + at) for count in counts)
        at += ticks
    return None if begins is None else _player((key, name), row, at, begins, dance, role)


def _player(
    called: tuple[str, str], counts: list[Count], ticks: int, begins: int, dance: Dance, role: str
) -> CountPlayer:
    beats = dance.beats_per_bar
    slowest = float(dance.slowest_bars_per_minute or _SLOWEST_BEATS / beats)
    quickest = float(dance.quickest_bars_per_minute or _QUICKEST_BEATS / beats)
    score = {
        "ticksPerBeat": TICKS_PER_BEAT,
        "beatsPerBar": beats,
        "begins": begins * TICKS_PER_BEAT,
        "ticks": ticks,
        "counts": [
            {
                "at": count.at,
                "said": count.said,
                "held": count.is_held,
                "leader": count.leader,
                "follower": count.follower,
            }
            for count in counts
        ],
    }
    key, name = called
    return CountPlayer(key, tuple(counts), slowest, quickest, SLOWER, score, name, role)


def _counts(steps: list[ChartStep]) -> tuple[list[Count], int]:
    """The counts of both roles in time, and how long the longer of the two is."""
    found: dict[int, Count] = {}
    passed: dict[str, int] = defaultdict(int)
    rows: dict[str, int] = defaultdict(int)
    for step in steps:
        count = found.setdefault(passed[step.role], Count(passed[step.role], step.count))
        moves = step.action not in STILL_ACTIONS
        if moves and step.role == FloorRole.LEADER:
            count.leader = rows[step.role]
        elif moves:
            count.follower = rows[step.role]
        count.is_held = count.is_held and not moves
        passed[step.role] += step.ticks
        rows[step.role] += 1
    return [found[at] for at in sorted(found)], max(passed.values(), default=0)
