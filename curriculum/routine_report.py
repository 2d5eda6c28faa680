"""All that is said of a routine: its joins and what they are like, what is not taught, how it fits music."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from django.db.models import Count, Q

from curriculum import problems
from curriculum.models import ChartStep, Dance, FloorRole, FloorUse, Routine
from curriculum.models import Passage as PassageRow
from curriculum.routine_clock import ChosenMoment
from curriculum.routine_music import Again, InMusic, again_of, in_music
from curriculum.rules.chain import CORNER, Floor, Passage, Stance, stances_along
from curriculum.rules.dead_ends import dead_end_sentence, dead_ends
from curriculum.rules.going import Going, going_of, notes_between
from curriculum.strip import RoutineStrip, StripJoin, ends_of, read_rows, routine_strip


@dataclass(frozen=True)
class JoinSaid:
    """A note at one place: it is danced, and it is worth knowing. number: of the figure come to."""

    number: int
    sentence: str


@dataclass(frozen=True)
class Untaught:
    """A figure the couple does not know yet. when: in words, "" where it is in no plan."""

    name: str
    figure: int
    when: str


@dataclass(frozen=True)
class Below:
    """The end of the routine that this one goes on from. ends: in words; join: into this one, None where
    either has no figure; stance: where the couple stands; last: what it danced last."""

    ends: str
    join: StripJoin | None
    stance: Stance
    last: Passage | None


@dataclass(frozen=True)
class RoutinePage:
    """levels: (name, how many of its figures stand in the row), from the lowest up."""

    routine: Routine
    moment: ChosenMoment
    rows: tuple[PassageRow | None, ...]
    strip: RoutineStrip
    notes: tuple[JoinSaid, ...]
    dead_ends: tuple[str, ...]
    untaught: tuple[Untaught, ...]
    levels: tuple[tuple[str, int], ...]
    music: InMusic | None
    again: Again
    below: Below | None = None


def routine_page(
    routine: Routine,
    moment: ChosenMoment,
    *,
    tempo: Decimal | None = None,
    seconds: int | None = None,
    known: Sequence[Passage] | None = None,
) -> RoutinePage:
    """The routine as of a moment. `known`: every passage of the dance, where they were read already.

    At most seven queries, whatever its length.
    """
    rows = tuple(read_rows(routine))
    strip = routine_strip(routine, taught=moment.known, rows=rows, corners_before=corners_before(routine))
    danced = [row for row in rows if row is not None]
    dance = routine.level.dance
    floor = problems.floor_of(dance)
    items = tuple(CORNER if row is None else problems.passage_of(row) for row in rows)
    again = again_of(items, strip.broken, dance=dance, floor=floor)
    return RoutinePage(
        routine=routine,
        moment=moment,
        rows=rows,
        strip=strip,
        notes=tuple(_notes(danced)),
        dead_ends=_dead_ends(danced, dance, floor, moment, known),
        untaught=_untaught(strip, moment),
        levels=_levels(danced),
        music=in_music(strip.beats, dance, tempo, seconds, again),
        again=again,
        below=_below(routine, rows, floor),
    )


def corners_before(routine: Routine) -> int:
    """Corners in the routines it goes on from. One query in a dance that travels, else none."""
    dance = routine.level.dance
    if dance.floor_use != FloorUse.TRAVELS or routine.continues_id is None:
        return 0
    rows = Routine.objects.filter(level__dance=dance).order_by()
    counted = rows.annotate(corners=Count("items", filter=Q(items__is_corner=True)))
    chain = {pk: (below, corners) for pk, below, corners in counted.values_list("pk", "continues", "corners")}
    found, current, seen = 0, routine.continues_id, {routine.pk}
    while current in chain and current not in seen:
        seen.add(current)
        below, corners = chain[current]
        found, current = found + corners, below
    return found


def _notes(danced: Sequence[PassageRow]) -> Iterable[JoinSaid]:
    """One query."""
    goings = _goings({row.chart_id for row in danced if row.chart_id})
    for number, (before, after) in enumerate(pairwise(danced), start=2):
        names = (before.figure.name, after.figure.name)
        found = notes_between(
            goings.get(before.chart_id or 0), goings.get(after.chart_id or 0), figures=names
        )
        yield from (JoinSaid(number, note.sentence) for note in found)


def _goings(charts: set[int]) -> dict[int, Going]:
    steps: dict[int, dict[str, list[ChartStep]]] = {}
    for row in (
        ChartStep.objects.filter(chart__in=charts).select_related("hold").order_by("chart", "position")
    ):
        steps.setdefault(row.chart_id, {}).setdefault(row.role, []).append(row)
    return {
        chart: going_of(
            *(problems.steps_of(roles.get(role, ()), role) for role in (FloorRole.LEADER, FloorRole.FOLLOWER))
        )
        for chart, roles in steps.items()
    }


def _below(routine: Routine, rows: Sequence[PassageRow | None], floor: Floor) -> Below | None:
    """None where it begins by itself. One query, or none."""
    if routine.continues is None:
        return None
    dance = routine.level.dance
    below = problems.routine_items(routine.continues)
    own = tuple(CORNER if row is None else problems.passage_of(row) for row in rows)
    join = problems.join_of_rows(below, own, dance=dance, floor=floor)
    return Below(
        ends=ends_of(below, dance)[1],
        join=StripJoin.of(join) if join else None,
        stance=stances_along(below)[-1],
        last=next((item for item in reversed(below) if isinstance(item, Passage)), None),
    )


def _dead_ends(
    danced: Sequence[PassageRow],
    dance: Dance,
    floor: Floor,
    moment: ChosenMoment,
    known: Sequence[Passage] | None,
) -> tuple[str, ...]:
    """One query, or none with `known`."""
    if not danced:
        return ()
    known = problems.passages_of(dance) if known is None else known
    found = dead_ends(map(problems.passage_of, danced), known, floor=floor, taught=moment.known)
    return tuple(dead_end_sentence(passage, problems.words_of(dance)) for passage in found)


def _untaught(strip: RoutineStrip, moment: ChosenMoment) -> tuple[Untaught, ...]:
    figures = {block.name: block.figure for block in strip.blocks if not block.is_taught}
    return tuple(Untaught(name, pk, moment.when.get(name, "")) for name, pk in figures.items())


def _levels(danced: Sequence[PassageRow]) -> tuple[tuple[str, int], ...]:
    counted = Counter((row.figure.level.rank, row.figure.level.name) for row in danced)
    return tuple((name, number) for (_, name), number in sorted(counted.items()))
