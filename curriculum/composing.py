"""A routine composed to measure: what was asked for, what came of it in plain words, and its row."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from typing import Any

from curriculum import problems
from curriculum.models import Figure, Level, Routine
from curriculum.routine_bench import Dances
from curriculum.routine_clock import ChosenMoment
from curriculum.routine_report import corners_before
from curriculum.rules.chain import UNKNOWN, Passage, Stance, stances_along
from curriculum.rules.compose import Composition, Demand, compose, possible, question
from curriculum.rules.danced_round import compose_round, possible_round
from curriculum.stance_words import stance_words
from curriculum.strip import RoutineStrip, routine_strip
from school.sent import whole_number

SECONDS = 2.0
"""How long a page waits for an answer: after it the best so far is shown with what is known of it."""
_A_MOMENT = 0.4
CORNER_KEY = "c"


@dataclass(frozen=True)
class Wish:
    """What is asked for. start, end: stances, None for any; is_round: its end leads into its start. after:
    the routine it goes on from. required, avoid: names of figures. corner_every: in beats, None without."""

    beats: Fraction
    start: Stance | None
    after: Routine | None
    end: Stance | None
    is_round: bool
    required: tuple[str, ...]
    avoid: tuple[str, ...]
    corner_every: Fraction | None
    seed: int


@dataclass(frozen=True)
class Composed:
    """What came of it. strip: None where there is no routine; row: as a form sends it back. said: how good it
    is and how sure that is; reasons: why there is none; conflict: the demands they come from."""

    strip: RoutineStrip | None
    row: str
    said: tuple[str, ...]
    reasons: tuple[str, ...]
    conflict: tuple[Demand, ...] = ()


def stances_of(dances: Dances) -> dict[str, tuple[Stance, str]]:
    """Stances that figures of the dance start in: key -> the stance and its words, in the words' order."""
    slot = dances.words.slot
    found = {
        passage.entry: stance_words(passage.entry, slot=slot)
        for passage in dances.passages
        if passage.entry.hold is not None
    }
    ordered = sorted(found.items(), key=lambda row: row[1])
    return {_key(stance): (stance, said) for stance, said in ordered}


def _key(stance: Stance) -> str:
    place = "" if stance.place is None else stance.place
    return f"{stance.hold}|{stance.foot or ''}|{place}"


def end_of_routine(routine: Routine) -> Stance:
    """Where a couple stands at its end; any stance after one without figures. One query."""
    return stances_along(problems.routine_items(routine))[-1]


def composed(level: Level, wish: Wish, moment: ChosenMoment, dances: Dances) -> Composed:
    """Compose what is wished for. Waits up to `SECONDS`. Three queries at most."""
    found = _composition(level, wish, moment, dances)
    if not found.passages:
        return Composed(None, "", (), tuple(_why_not(found)), found.conflict)
    rows = [dances.rows[item] if isinstance(item, Passage) else None for item in found.passages]
    made = Routine(level=level, name="", continues=wish.after)
    strip = routine_strip(made, taught=moment.known, rows=rows, corners_before=corners_before(made))
    row = ",".join(CORNER_KEY if one is None else str(one.pk) for one in rows)
    # What has no charted way to be danced, or is not wanted, cannot be chosen.
    newest = moment.new & {passage.figure for passage in dances.passages} - set(wish.avoid)
    said = (*_how_good(found, len(newest)), *_come_back_to(found))
    return Composed(strip, row, said, ())


def may_be(level: Level, wish: Wish, moment: ChosenMoment, dances: Dances) -> bool:
    """Whether there is any routine of the wish. Exact. One query.

    One to be danced again is tried for a moment too: not all that is possible connects the second time.
    """
    asked = question(dances.passages, **_asked(level, wish, moment, dances))
    if not wish.is_round:
        return possible(asked)
    if not possible_round(asked):
        return False
    return bool(compose_round(asked, words=dances.words, seconds=_A_MOMENT, seed=wish.seed).passages)


def read_row(sent: str) -> tuple[int | None, ...] | None:
    """The row of `Composed`, or None where it is no such thing."""
    parts = sent.split(",")
    row = tuple(None if part == CORNER_KEY else whole_number(part) for part in parts)
    is_whole = row.count(None) == parts.count(CORNER_KEY)
    return row if is_whole else None


def _composition(level: Level, wish: Wish, moment: ChosenMoment, dances: Dances) -> Composition:
    asked = _asked(level, wish, moment, dances)
    if wish.is_round:
        whole = question(dances.passages, **asked)
        return compose_round(whole, words=dances.words, seconds=SECONDS, seed=wish.seed)
    return compose(dances.passages, **asked, words=dances.words, seconds=SECONDS, seed=wish.seed)


def _asked(level: Level, wish: Wish, moment: ChosenMoment, dances: Dances) -> dict[str, Any]:
    """One query."""
    in_a_row = dict(Figure.objects.filter(dance=level.dance_id).values_list("name", "in_a_row"))
    return {
        "start": wish.start or UNKNOWN,
        "end": None if wish.is_round else wish.end,
        "beats": wish.beats,
        "floor": dances.floor,
        "taught": moment.known,
        "required": wish.required,
        "avoid": wish.avoid,
        "newest": moment.new,
        "in_a_row": in_a_row,
        "corner_every": wish.corner_every,
    }


def _how_good(found: Composition, choosable: int) -> Iterator[str]:
    """Repeats and newest figures against what is proved, in plain words. `choosable`: how many of the newest
    could be in it."""
    if found.cost is None or found.bound is None:
        return
    repeats, newest = found.cost[0], -found.cost[1]
    again = f"{_number(repeats)} repeat{'' if repeats == 1 else 's'}"
    new = f"; {newest} of the {choosable} newest figures {'is' if newest == 1 else 'are'} in it"
    new = new if choosable else ""
    if found.status == "optimal":
        fewer = f"{again}, and fewer are impossible" if repeats else again
        more = "" if newest == choosable else ", and more are impossible with so few repeats"
        yield f"Best possible: {fewer}{new}{more}."
        return
    yield f"Sound, found in {SECONDS:g} seconds; perhaps not the best: {again}{new}."
    if 0 < found.bound[0] < repeats:
        yield f"Fewer than {found.bound[0]} would be impossible."
    elif found.bound[0] == repeats:
        yield "Fewer repeats are impossible; perhaps more of the newest could be in it."


def _come_back_to(found: Composition) -> Iterator[str]:
    """Which figures the repeats are, in words. A figure several times in a row is danced once for this."""
    danced = [item.figure for item in found.passages if isinstance(item, Passage)]
    begun = Counter(figure for figure, _ in groupby(danced))
    again = [f"{_times(runs - 1)} to {figure}" for figure, runs in begun.items() if runs > 1]
    if again:
        yield f"It comes back {', '.join(again)}. The same figure several times in a row is not a repeat."


def _times(number: int) -> str:
    return {1: "once", 2: "twice"}.get(number, f"{number} times")


def _number(repeats: int) -> str:
    return str(repeats) if repeats else "no"


def _why_not(found: Composition) -> Iterator[str]:
    if found.status == "unknown":
        yield (
            f"No routine was found in {SECONDS:g} seconds, and it is not proved that there is none. Ask for "
            "less: shorter, fewer that must be in, or another end."
        )
        return
    yield from (demand.sentence for demand in found.conflict)
