"""What reaches across a dance afterwards: names that two would share, needs that cannot be, routines that
name what is not there. Pure."""

from __future__ import annotations

from collections import Counter

from curriculum.rules.naming import name_key
from curriculum.rules.syllabus import circle_sentence, find_circle
from curriculum.travel import values
from curriculum.travel.merged import MergedDance
from curriculum.travel.values import Mistake

# Circles said at most; mending these shows the others.
MOST_CIRCLES = 20


def check_dance(merged: MergedDance, mistakes: list[Mistake]) -> None:
    """Add a mistake for everything that could not stand together."""
    checker = _Checker(merged, mistakes)
    checker.check_tempo()
    checker.check_holds()
    checker.check_rhythms()
    checker.check_names()
    checker.check_needs()
    checker.check_circles()
    checker.check_routines()


class _Checker:
    def __init__(self, merged: MergedDance, mistakes: list[Mistake]) -> None:
        self.merged = merged
        self.mistakes = mistakes
        self.ranks = {row.value.name: rank for rank, row in enumerate(merged.levels)}
        self.figures = {row.value.name: row.value for row in merged.figures}

    def wrong(self, place: str, sentence: str) -> None:
        self.mistakes.append(Mistake(f"{self.merged.value.name}, {place}", sentence))

    def check_tempo(self) -> None:
        """One end may come from the file and the other stand already."""
        dance = self.merged.value
        slowest, quickest = dance.slowest_bars_per_minute, dance.quickest_bars_per_minute
        if slowest is not None and quickest is not None and slowest > quickest:
            self.wrong("quickest_bars_per_minute", f"{quickest} is slower than the slowest, {slowest}")

    def check_holds(self) -> None:
        keys = Counter(row.value.key for row in self.merged.holds)
        for row in self.merged.holds:
            if keys[row.value.key] > 1 and row.is_new:
                self.wrong(f"hold “{row.value.name}”, key", f"another hold has the key “{row.value.key}”")
            if row.value.name in row.value.turns_into:
                self.wrong(f"hold “{row.value.name}”, turns_into", "a hold cannot turn into itself")

    def check_rhythms(self) -> None:
        for row in self.merged.rhythms:
            if not row.value.counts and row.spoken_of:
                self.wrong(f"rhythm “{row.value.name}”, counts", "a rhythm has at least one count")

    def check_names(self) -> None:
        """Main names first: where a main name and another figure's other name meet, the other is wrong."""
        whose: dict[str, str] = {}
        rows = sorted(self.merged.figures, key=lambda row: row.spoken_of)
        for row in rows:
            whose.setdefault(name_key(row.value.name), row.value.name)
        for row in rows:
            for name in row.value.other_names:
                owner = whose.setdefault(name_key(name), row.value.name)
                if owner != row.value.name:
                    self.wrong(f"figure “{row.value.name}”, other_names", f"“{name}” is a name of “{owner}”")

    def check_needs(self) -> None:
        for figure in self.figures.values():
            for needed, _ in figure.needs:
                own, other = figure.level, self.figures[needed].level
                if self.ranks.get(other, 0) > self.ranks.get(own, 0):
                    self.wrong(
                        f"figure “{figure.name}”, needs",
                        f"“{needed}” is on {other}, a higher level than {own} where “{figure.name}” is",
                    )
            for kind in ("extension", "easier_form", "open_form"):
                if getattr(figure, kind) == figure.name:
                    self.wrong(f"figure “{figure.name}”, {kind}", "this is the figure itself")

    def check_circles(self) -> None:
        """One mistake a circle. After each it is opened where it begins, to see whether there is another."""
        needs = {
            name: frozenset(needed for needed, _ in figure.needs) for name, figure in self.figures.items()
        }
        for _ in range(MOST_CIRCLES):
            circle = find_circle(needs)
            if circle is None:
                return
            self.wrong(f"figure “{circle[0]}”, needs", circle_sentence(circle))
            needs[circle[0]] -= {circle[1 % len(circle)]}

    def check_routines(self) -> None:
        routines = {(row.value.level, name_key(row.value.name)): row.value for row in self.merged.routines}
        for routine in routines.values():
            place = f"routine “{routine.name}”"
            for number, danced in enumerate(routine.dances, start=1):
                if danced is None or danced.figure not in self.figures:
                    continue
                passages = len(self.figures[danced.figure].passages)
                if danced.passage >= passages:
                    sentence = f"“{danced.figure}” has {passages} passages, so there is no such one"
                    self.wrong(f"{place}, place {number}, passage", sentence)
            self._check_continues(routine, routines)

    def _check_continues(
        self, routine: values.Routine, routines: dict[tuple[str, str], values.Routine]
    ) -> None:
        place, before = f"routine “{routine.name}”, continues", routine.continues
        seen = {(routine.level, name_key(routine.name))}
        while before is not None:
            key = (before[0], name_key(before[1]))
            if key in seen:
                return self.wrong(place, "the routines go on from each other in a circle")
            if key not in routines:
                return self.wrong(place, f"there is no routine “{before[1]}” on {before[0]}")
            seen.add(key)
            before = routines[key].continues
        return None
