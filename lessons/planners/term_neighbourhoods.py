"""Better plans for large terms: free a few lessons of a good plan, lay them out anew, and again elsewhere.

Each neighbourhood is the term's own model in which every other figure stays where it stands; reviews are
free throughout. Which lessons are freed is drawn by the seed, how many follows from how easily the last ones
were solved, and every solve ends by the solver's own count of work: so a search repeats itself exactly until
the clock ends it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from random import Random

from ortools.sat.python import cp_model

from .term_reach import Reach
from .term_watch import Candidate, Watch

# Work a neighbourhood may take: about half a second.
MOST_WORK = 0.5
LEAST_FREED, FIRST_FREED = 2.0, 3.0
# How often lessons in a row are freed, and how often lessons from anywhere; else single figures.
IN_A_ROW, ANYWHERE = 0.6, 0.8
# Figures left out that are offered a place in each neighbourhood.
OFFERED = 6


class Neighbourhoods:
    """Draws neighbourhoods of a plan and learns how large they may be."""

    def __init__(self, watch: Watch, reaches: Sequence[Reach], seed: int) -> None:
        self.watch, self.reaches = watch, tuple(reaches)
        self.dice = Random(seed)
        self.freed = FIRST_FREED
        self.first = min(course.state.first for course in watch.courses)
        self.end = max(len(course.problem.lessons) for course in watch.courses)

    def draw(self, plan: Candidate) -> tuple[Reach, ...]:
        """The reach of the figures: freed ones as they are, the others only where the plan has them.

        Courses planned together are freed in the same lessons.
        """
        chosen = self._lessons()
        return tuple(self._freed(place, own.introductions, chosen) for place, own in enumerate(plan.plans))

    def learn(self, status: int) -> None:
        """Larger neighbourhoods after one that was solved to its end, smaller after one that was not."""
        step = 0.25 if status in (cp_model.OPTIMAL, cp_model.INFEASIBLE) else -0.5
        self.freed = min(max(LEAST_FREED, float(self.end)), max(LEAST_FREED, self.freed + step))

    def _lessons(self) -> set[int] | int:
        """The lessons whose figures are freed; or of how many lessons' worth, from anywhere."""
        lessons = range(self.first, self.end)
        count = min(len(lessons), int(self.freed))
        way = self.dice.random()
        if way < IN_A_ROW:
            start = self.dice.randint(self.first, self.end - count)
            return set(range(start, start + count))
        return set(self.dice.sample(lessons, count)) if way < ANYWHERE else count

    def _freed(self, place: int, introductions: Mapping[str, int], chosen: set[int] | int) -> Reach:
        state, reach = self.watch.courses[place].state, self.reaches[place]
        placed = {key: at for key, at in introductions.items() if not state.settled(key)}
        if isinstance(chosen, int):
            share = len(placed) * chosen // max(1, self.end - self.first)
            free = set(self.dice.sample(list(placed), min(len(placed), share)))
        else:
            free = {key for key, at in placed.items() if at in chosen}
        waiting = [figure.key for figure in state.to_come if figure.key not in placed]
        free.update(self.dice.sample(waiting, min(len(waiting), OFFERED)))
        lessons = {
            key: possible if key in free else (placed[key],) if key in placed else ()
            for key, possible in reach.lessons.items()
        }
        return replace(reach, lessons=lessons)


def fixed_figures(drawn: Reach, whole: Reach) -> list[str]:
    """Figures that a neighbourhood keeps where they stand."""
    return [key for key, lessons in drawn.lessons.items() if lessons and lessons != whole.lessons[key]]
