"""What somebody has danced of a course's dance: seen when it was new, or made good for since.

Going over it again in a lesson one is in makes good for having missed it when it was new, in one's own course
as in another, and so does learning it in a private lesson (common practice, no source).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from lessons.actions.private import learnt_privately
from lessons.models import Course, Outcome, RecordedFigure
from school.models import Person

TEACHES = (Outcome.INTRODUCED, Outcome.FINISH_LATER)


@dataclass(frozen=True)
class Danced:
    """Figures (pk). seen: new in a lesson of the course the person was in; begun: only begun there; again: ->
    when they last went over it there; elsewhere: -> when they first danced it in another course; learnt: ->
    in a private lesson."""

    seen: frozenset[int]
    begun: frozenset[int]
    again: dict[int, dt.date]
    elsewhere: dict[int, dt.date]
    learnt: dict[int, dt.date]

    def again_since(self, figure: int, new_on: dt.date) -> dt.date | None:
        """When they last went over it in their own course, after the lesson in which it was new."""
        day = self.again.get(figure)
        return day if day and day > new_on else None

    def saw(self, figure: int, outcome: str) -> bool:
        """Whether they were there when it was new; of what was only begun, whether they saw that or its end.
        Whoever saw the beginning alone has missed the end."""
        return figure in self.seen or (outcome == Outcome.FINISH_LATER and figure in self.begun)

    def is_made_good(self, figure: int, new_on: dt.date) -> bool:
        """Whether it is missed no more by somebody who was not there when it was new."""
        return figure in self.elsewhere or figure in self.learnt or bool(self.again_since(figure, new_on))


def danced_by(person: Person, course: Course) -> Danced:
    """Two queries."""
    rows = RecordedFigure.objects.filter(
        record__attendance__person=person, figure__dance=course.dance_id
    ).exclude(outcome=Outcome.NOT_REACHED)
    seen: set[int] = set()
    begun: set[int] = set()
    again: dict[int, dt.date] = {}
    elsewhere: dict[int, dt.date] = {}
    columns = ("figure", "outcome", "record__lesson__course", "record__lesson__date")
    for figure, outcome, where, day in rows.order_by("record__lesson__date", "pk").values_list(*columns):
        if where != course.pk:
            elsewhere.setdefault(figure, day)
        elif outcome in TEACHES:
            (seen if outcome == Outcome.INTRODUCED else begun).add(figure)
        else:
            again[figure] = day
    return Danced(frozenset(seen), frozenset(begun), again, elsewhere, learnt_privately(person))


def danced_at_all(people: Iterable[int], figures: Iterable[int]) -> set[tuple[int, int]]:
    """(person, figure) (pk) of what they danced, new or again, in whatever lesson they were in. One query."""
    rows = RecordedFigure.objects.filter(
        figure__in=list(figures),
        record__attendance__person__in=list(people),
        outcome__in=[Outcome.INTRODUCED, Outcome.REVIEWED],
    )
    return set(rows.order_by().values_list("record__attendance__person", "figure"))
