"""What is called in the hall, and what the teacher should know, about one segment's changes of partner."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product
from typing import Final

from lessons.rules.evening_rotation import BOTH, Dancer, Hall, HallRotation, rotate

_NUMBERS: Final = (
    *("no", "one", "two", "three", "four", "five", "six"),
    *("seven", "eight", "nine", "ten", "eleven", "twelve"),
)
_ROLE: Final = {"L": "leader", "F": "follower"}


def called(rotation: HallRotation, hall: Hall) -> str:
    """The one sentence to call; empty where nobody changes partners."""
    if not _changes(rotation):
        return ""
    if not hall.roles_matter:
        gap = "; whoever has nobody opposite rests" if len(rotation.leaders) % 2 else ""
        return f"In two lines facing each other: {_stays(rotation)}, everybody else moves on one{gap}."
    moves = "Followers" if hall.followers_move else "Leaders"
    gaps = abs(len(rotation.leaders) - len(rotation.followers))
    if not gaps:
        return f"{moves} move on one."
    larger_moves = hall.followers_move == (len(rotation.followers) > len(rotation.leaders))
    there = "the gap" if gaps == 1 else f"the {number_word(gaps)} gaps"
    too = "" if larger_moves else f", {there} too"
    return f"{moves} move on one{too}; at {'the gap' if gaps == 1 else 'a gap' if too else there} you rest."


def remarks(rotation: HallRotation, hall: Hall) -> Iterable[str]:
    """What the teacher should know before the music starts, most important first."""
    lead, follow = len(rotation.leaders), len(rotation.followers)
    if not hall.dancers:
        yield "Nobody is here yet. Tick who has come."
        return
    if hall.roles_matter:
        yield from _of_roles(lead, follow)
        yield from _of_meeting(rotation, hall)
    if not _changes(rotation):
        yield "Nobody has anybody to change with."
    elif len(rotation.rounds) == 1:
        yield "There is no time for a change: everybody stays with one partner."
    if hall.roles_matter:
        yield from _dealt_out(rotation)
    for helper in rotation.called_in:
        yield f"Called in: {helper.name}{f' as {_ROLE[helper.role]}' if hall.roles_matter else ''}."
    late = [dancer for dancer in hall.dancers if dancer.from_round > 1]
    if late:
        names = " and ".join(dancer.name for dancer in late)
        yield f"Keep a free place for {names}: whoever comes to it rests."


def _dealt_out(rotation: HallRotation) -> Iterable[str]:
    for people, does in ((rotation.leaders, "lead"), (rotation.followers, "follow")):
        names = [dancer.name for dancer in people if dancer.role == BOTH]
        if names:
            yield f"{' and '.join(names)} {does}{'s' if len(names) == 1 else ''}."


def _changes(rotation: HallRotation) -> bool:
    """Whether there is a couple in some round, and a second person in either role."""
    people = len(rotation.leaders) + len(rotation.followers)
    return people > 2 and any(one.couples for one in rotation.rounds)


def number_word(number: int) -> str:
    """ "two", "thirteen" as 13: words are called, figures are read."""
    return _NUMBERS[number] if number < len(_NUMBERS) else str(number)


def counted(number: int, role: str) -> str:
    """ "one leader", "40 followers"; role: "L" or "F"."""
    return f"{number_word(number)} {_ROLE[role]}{'' if number == 1 else 's'}"


def _of_roles(lead: int, follow: int) -> Iterable[str]:
    if not lead and not follow:
        return
    larger, smaller = max(lead, follow), min(lead, follow)
    role = "L" if lead > follow else "F"
    other = "F" if role == "L" else "L"
    if not smaller:
        there = "There is" if larger == 1 else "There are"
        yield (
            f"{there} {counted(larger, role)} and no {_ROLE[other]}: nobody can be paired. "
            "Dance it alone, or let some take the other role."
        )
        return
    if 2 * smaller < larger:
        yield (
            f"With {counted(larger, role)} and {counted(smaller, other)} each {_ROLE[role]} dances about one "
            f"round in {round(larger / smaller)}. Let some take the other role, or dance it alone."
        )


def _of_meeting(rotation: HallRotation, hall: Hall) -> Iterable[str]:
    """When all have danced with all, as the rounds are made: a latecomer puts it off, and two who are not to
    be paired leave it open."""
    larger, smaller = sorted((len(rotation.leaders), len(rotation.followers)), reverse=True)
    if not smaller or larger < 2:
        return
    has = len(rotation.rounds)
    if met := _all_met_after(rotation):
        yield f"After {number_word(met)} rounds everybody has danced with everybody."
        return
    # Once the last has come, once round the ring: nothing new comes after that.
    latest = max(dancer.from_round for dancer in (*rotation.leaders, *rotation.followers))
    needs = _all_met_after(rotate(hall, larger + latest - 1))
    if needs and needs > has:
        yield (
            f"It takes {number_word(needs)} rounds until all have danced with all; "
            f"there is time for {number_word(has)}."
        )
    else:
        time = f"{number_word(has)} round{'' if has == 1 else 's'}"
        yield f"There is time for {time}, in which not everybody dances with everybody."


def _all_met_after(rotation: HallRotation) -> int | None:
    """The round after which every leader has danced with every follower; None where that is in none."""
    missing = {_pair(one, other) for one, other in product(rotation.leaders, rotation.followers)}
    for one in rotation.rounds:
        missing -= {_pair(*couple) for couple in one.couples}
        if not missing:
            return one.number
    return None


def _pair(one: Dancer, other: Dancer) -> frozenset[int]:
    return frozenset((one.key, other.key))


def _stays(rotation: HallRotation) -> str:
    if len(rotation.leaders) % 2:
        return "leave one place at the end of a line empty"
    return f"{rotation.leaders[-1].name} stays"
