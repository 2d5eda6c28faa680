"""What the term planner is asked and what it answers: plain, immutable values.

Minutes are whole numbers. A lesson is named by its index, its place in the tuple of lessons, from 0;
sentences count from 1, as people do.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

AIMS = ("left_out", "moved", "late_reviews", "peak", "order")


class ProblemError(ValueError):
    """A term that cannot be read as a question; the sentence names the figure or the lesson."""


@dataclass(frozen=True)
class FigureToTeach:
    """One figure (or technique) of the syllabus and what is demanded of its place in the term.

    `earliest`, `latest`, `pinned` and `barred` speak of the lesson in which its first part stands.
    """

    key: str
    minutes: int
    review_minutes: int = 0
    needs: frozenset[str] = frozenset()
    after: frozenset[str] = frozenset()
    order: int = 0
    importance: int = 1
    required: bool = True
    earliest: int | None = None
    latest: int | None = None
    pinned: int | None = None
    barred: frozenset[int] = frozenset()
    parts: int = 1
    review_after: tuple[int, ...] | None = None
    least_reviews: int = 0

    def __post_init__(self) -> None:
        object.__setattr__(self, "needs", frozenset(self.needs))
        object.__setattr__(self, "after", frozenset(self.after))
        object.__setattr__(self, "barred", frozenset(self.barred))
        if self.review_after is not None:
            object.__setattr__(self, "review_after", tuple(self.review_after))

    def part_minutes(self) -> tuple[int, ...]:
        """The minutes of each part: split evenly, the larger parts first."""
        share, rest = divmod(self.minutes, self.parts)
        return tuple(share + (part < rest) for part in range(self.parts))


@dataclass(frozen=True)
class LessonSlot:
    """One lesson: its room in minutes, warm-up and the like already off.

    `taught` is None for a lesson to come; for one that has been, the keys introduced in it.
    `reviewed` holds the keys that a lesson of the past danced again.
    """

    index: int
    minutes: int
    min_minutes: int = 0
    max_new: int = 3
    min_new: int = 0
    taught: frozenset[str] | None = None
    reviewed: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        if self.taught is not None:
            object.__setattr__(self, "taught", frozenset(self.taught))
        object.__setattr__(self, "reviewed", frozenset(self.reviewed))


@dataclass(frozen=True)
class TermProblem:
    """A term to be planned.

    `review_after`: lessons between a figure's last part and each of its reviews; `review_slack`: how far a
    review may lie from that; `previous`: key -> lesson of an earlier plan, to be disturbed least;
    `unfinished`: key -> minutes still owed to a figure begun in the last lesson taught.
    """

    figures: tuple[FigureToTeach, ...]
    lessons: tuple[LessonSlot, ...]
    known: frozenset[str] = frozenset()
    review_after: tuple[int, ...] = (1, 2, 4)
    review_slack: int = 1
    previous: Mapping[str, int] | None = field(default=None, hash=False)
    together: tuple[frozenset[str], ...] = ()
    apart: tuple[frozenset[str], ...] = ()
    unfinished: Mapping[str, int] = field(default_factory=dict, hash=False)
    ranks: tuple[str, ...] = AIMS

    def __post_init__(self) -> None:
        object.__setattr__(self, "figures", tuple(self.figures))
        object.__setattr__(self, "lessons", tuple(self.lessons))
        object.__setattr__(self, "known", frozenset(self.known))
        object.__setattr__(self, "review_after", tuple(self.review_after))
        object.__setattr__(self, "together", tuple(frozenset(group) for group in self.together))
        object.__setattr__(self, "apart", tuple(frozenset(group) for group in self.apart))
        object.__setattr__(self, "unfinished", dict(self.unfinished))
        object.__setattr__(self, "ranks", tuple(self.ranks))
        if self.previous is not None:
            object.__setattr__(self, "previous", dict(self.previous))


@dataclass(frozen=True)
class Review:
    """`key` is danced again in lesson `index`, for the review that is due in lesson `due`."""

    key: str
    index: int
    due: int


@dataclass(frozen=True)
class Aim:
    """What the plan reached, and the least that is possible given the values of the aims above it."""

    name: str
    value: int
    bound: int


@dataclass(frozen=True)
class Progress:
    """How far the search has come: the aims of the best plan so far (none before the first plan)."""

    aims: tuple[Aim, ...]
    seconds: float
    course: str | None = None


@dataclass(frozen=True)
class Reason:
    """One demand of one figure or one lesson (or of one set of figures) that takes part in a conflict."""

    kind: str
    keys: tuple[str, ...]
    lessons: tuple[int, ...]
    sentence: str


@dataclass(frozen=True)
class Finding:
    """One thing that is wrong with a plan."""

    kind: str
    keys: tuple[str, ...]
    lessons: tuple[int, ...]
    sentence: str


@dataclass(frozen=True)
class TermPlan:
    """The planner's answer. `status`: "optimal" | "feasible" | "impossible" | "unknown".

    `introductions`: key -> lesson of the first part, history included; `minutes`: of each lesson, 0 in
    history; `aims`: all five in rank. When impossible or unknown nothing is introduced and no aim is told;
    `conflict` says why it is impossible.
    """

    status: str
    introductions: Mapping[str, int] = field(default_factory=dict, hash=False)
    reviews: tuple[Review, ...] = ()
    left_out: tuple[str, ...] = ()
    minutes: tuple[int, ...] = ()
    aims: tuple[Aim, ...] = ()
    conflict: tuple[Reason, ...] = ()
