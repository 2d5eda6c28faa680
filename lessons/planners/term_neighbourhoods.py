"""Better plans for large terms: free a few lessons of a good plan, lay them out anew, and again elsewhere.

Each neighbourhood is the term's own model in which every other figure stays where it stands; reviews are
free throughout. Which lessons are freed is drawn by the seed, how many follows from how easily the last ones
were solved, and every solve ends by the solver's own count of work: so a search repeats itself exactly until
the clock ends it.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

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

    def __init__(self, watch: Watch, reach: Reach, seed: int) -> None:
        self.watch, self.reach = watch, reach
        self.dice = random.Random(seed)
        self.freed = FIRST_FREED

    def draw(self, plan: Candidate) -> Reach:
        """The reach of the figures: freed ones as they are, the others only where the plan has them."""
        free = self._freed_figures(plan)
        lessons = {}
        for key, possible in self.reach.lessons.items():
            if key in free:
                lessons[key] = possible
            else:
                lessons[key] = (plan.introductions[key],) if key in plan.introductions else ()
        return replace(self.reach, lessons=lessons)

    def learn(self, status: int) -> None:
        """Larger neighbourhoods after one that was solved to its end, smaller after one that was not."""
        most = max(LEAST_FREED, float(len(self.watch.problem.lessons)))
        step = 0.25 if status in (cp_model.OPTIMAL, cp_model.INFEASIBLE) else -0.5
        self.freed = min(most, max(LEAST_FREED, self.freed + step))

    def _freed_figures(self, plan: Candidate) -> set[str]:
        state = self.watch.state
        placed = {key: at for key, at in plan.introductions.items() if not state.settled(key)}
        lessons = range(state.first, len(self.watch.problem.lessons))
        count = min(len(lessons), int(self.freed))
        way = self.dice.random()
        if way < IN_A_ROW:
            start = self.dice.randint(lessons.start, lessons.stop - count)
            chosen = set(range(start, start + count))
        else:
            chosen = set(self.dice.sample(lessons, count))
        free = {key for key, at in placed.items() if at in chosen}
        if way >= ANYWHERE:
            free = set(self.dice.sample(list(placed), min(len(placed), len(free))))
        return free | set(self._some_left_out(placed))

    def _some_left_out(self, placed: dict[str, int]) -> Iterator[str]:
        waiting = [figure.key for figure in self.watch.state.to_come if figure.key not in placed]
        yield from self.dice.sample(waiting, min(len(waiting), OFFERED))
