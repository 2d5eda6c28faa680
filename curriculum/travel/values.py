"""A curriculum without keys: everything is known by its name, and lists stand in their own order.

Lengths are in ticks, 12 to the beat. Fields are named like the models', which say what they mean.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


class UnusableFile(ValueError):  # noqa: N818 - it says what the file is, in one sentence
    """The whole file cannot be used. The message is one sentence for the page."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """What is wrong at one place of the file. `place`: e.g. "waltz, figure “whisk”, needs"."""

    place: str
    sentence: str

    def __str__(self) -> str:
        return f"{self.place}: {self.sentence}" if self.place else self.sentence


@dataclass(frozen=True, slots=True)
class Level:
    """A rung; its place in the dance's list is its place on the ladder."""

    name: str
    most_new: int = 2


@dataclass(frozen=True, slots=True)
class Hold:
    """`turns_into`: names of the holds it becomes freely, sorted."""

    name: str
    key: str
    facing: int | None = None
    same_foot: bool = False
    turns_into: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Rhythm:
    """`counts`: what is said and how long it lasts."""

    name: str
    begins_on_beat: int = 1
    source: str = ""
    counts: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Step:
    count: str
    ticks: int
    action: str
    foot: str = ""
    direction: str = ""
    turn: int = 0
    hold: str | None = None
    cue: str = ""


@dataclass(frozen=True, slots=True)
class Chart:
    name: str = ""
    note: str = ""
    leader: tuple[Step, ...] = ()
    follower: tuple[Step, ...] = ()


@dataclass(frozen=True, slots=True)
class Passage:
    """A way in and out. `chart`: place in the figure's list of charts, from 0."""

    label: str = ""
    ticks: int | None = None
    entry_hold: str | None = None
    entry_foot: str = ""
    entry_place: int | None = None
    exit_hold: str | None = None
    exit_foot: str = ""
    exit_place: int | None = None
    give: int = 0
    chart: int | None = None


@dataclass(frozen=True, slots=True)
class Figure:
    """Its place in the dance's list is its place in the syllabus. `needs`: main names -> may share an
    evening, as sorted pairs."""

    name: str
    level: str
    minutes_to_introduce: int
    kind: str = "figure"
    ticks: int | None = None
    minutes_to_review: int = 0
    in_a_row: int = 1
    lead: str = ""
    response: str = ""
    notes: str = ""
    other_names: tuple[str, ...] = ()
    needs: tuple[tuple[str, bool], ...] = ()
    extension: str | None = None
    easier_form: str | None = None
    open_form: str | None = None
    faults: tuple[tuple[str, str], ...] = ()
    cautions: tuple[str, ...] = ()
    charts: tuple[Chart, ...] = ()
    passages: tuple[Passage, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """The main one first."""
        return (self.name, *self.other_names)


@dataclass(frozen=True, slots=True)
class Danced:
    """A figure in a routine, by one of its passages: place in the figure's list, from 0."""

    figure: str
    passage: int


@dataclass(frozen=True, slots=True)
class Routine:
    """`dances`: what is danced in order; None is a corner of the room. `continues`: level and name of the
    routine it goes on from."""

    name: str
    level: str
    note: str = ""
    continues: tuple[str, str] | None = None
    dances: tuple[Danced | None, ...] = ()


@dataclass(frozen=True, slots=True)
class Dance:
    """Levels from the lowest up; rhythms by name; figures in teaching order; routines by level and name."""

    name: str
    beats_per_bar: int = 4
    beat_unit: int = 4
    bars_per_phrase: int = 8
    slowest_bars_per_minute: Decimal | None = None
    quickest_bars_per_minute: Decimal | None = None
    floor_use: str = "spot"
    note: str = ""
    levels: tuple[Level, ...] = ()
    holds: tuple[Hold, ...] = ()
    rhythms: tuple[Rhythm, ...] = ()
    figures: tuple[Figure, ...] = ()
    routines: tuple[Routine, ...] = ()


@dataclass(frozen=True, slots=True)
class Curriculum:
    dances: tuple[Dance, ...] = ()
