"""Routines checked again when a figure, a chart or a hold was changed: what broke by it is said at once."""

from __future__ import annotations

from curriculum.models import Dance, Routine
from curriculum.problems import floors_of, items_of, words_of
from curriculum.rules.chain import check_routine

Broken = dict[tuple[int, int], str]
"""(routine, place in its row) -> what is said of the join that doesn't connect there."""


class Recheck:
    """The joins of a dance's routines as they stand when this is made. Three queries; three to ask again."""

    def __init__(self, dance: Dance) -> None:
        self.dance = dance
        self.before = _broken(dance)

    def newly_broken(self) -> tuple[str, ...]:
        """Sentences about the joins that did connect and do no longer."""
        return tuple(said for place, said in _broken(self.dance).items() if place not in self.before)


def _broken(dance: Dance) -> Broken:
    routines = {row.pk: row for row in Routine.objects.filter(level__dance=dance)}
    items, floor = items_of(routines), floors_of([dance.pk])[dance.pk]
    words = words_of(dance)
    return {
        (pk, finding.place): f"{routine} no longer connects: {finding.sentence}"
        for pk, routine in routines.items()
        for finding in check_routine(
            items[pk], floor=floor, taught=(), bar_beats=dance.beats_per_bar, words=words
        ).findings
        if finding.kind == "broken" and finding.place is not None
    }
