"""Generated terms for the planner's benchmarks, the same for the same seed.

Introductions of 8 to 25 minutes, reviews of 4 to 6 after 1, 2 and 4 lessons with a slack of 1, about 1.5
prerequisites a figure, at most 3 new figures a lesson and none in the last, 15 minutes of every lesson fixed,
importance 10 for four in ten and 1 to 5 for the rest.
"""

from __future__ import annotations

import os
import random
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from lessons.planners.term import FigureToTeach, LessonSlot, TermProblem

FIXED_MINUTES = 15


def generated_term(figures: int, lessons: int, minutes: int, seed: int) -> TermProblem:
    """A term of the kind described above; `minutes` is the length of a lesson."""
    dice = random.Random(seed)
    made = []
    for number in range(figures):
        wanted = min(number, dice.choice((0, 1, 2, 3)))
        made.append(
            FigureToTeach(
                f"figure {number}",
                dice.randint(8, 25),
                dice.randint(4, 6),
                needs=frozenset(f"figure {need}" for need in dice.sample(range(number), wanted)),
                order=number,
                importance=10 if dice.random() < 0.4 else dice.randint(1, 5),
                required=False,
            )
        )
    slots = tuple(
        LessonSlot(index, minutes - FIXED_MINUTES, max_new=3 if index < lessons - 1 else 0)
        for index in range(lessons)
    )
    return TermProblem(tuple(made), slots)


@dataclass
class Spent:
    """Seconds by the clock and of the processor; on a busy machine the first say little."""

    wall: float = 0.0
    processor: float = 0.0

    def __str__(self) -> str:
        return f"{self.wall:.2f} s ({self.processor:.2f} s of processor)"


@contextmanager
def spending() -> Iterator[Spent]:
    spent, wall, processor = Spent(), time.perf_counter(), time.process_time()
    try:
        yield spent
    finally:
        spent.wall, spent.processor = time.perf_counter() - wall, time.process_time() - processor


def machine() -> str:
    """How many cores there are and how busy they have been in the last minute."""
    return f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}"
