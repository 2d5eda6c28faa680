"""Rotation of partners: who dances with whom, round by round, and who rests.

As many places stand in a ring as the larger role has people. The smaller role stands at the places, with the
gaps spread evenly, and the larger role moves on one place each round. That is the least number of rounds in
which everybody can meet everybody (one cannot dance with two at once), and, because evenly spread gaps are
balanced, nobody of the larger role ever rests two rounds more than another.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Round:
    """pairs: (leader, follower), counted from 0, in the order of the ring's places. resting: people of the
    larger role, counted from 0, in order; where a role has nobody, all of the other."""

    pairs: tuple[tuple[int, int], ...]
    resting: tuple[int, ...]


def rotation(leaders: int, followers: int, rounds: int) -> tuple[Round, ...]:
    """So many rounds for so many leaders and followers. ValueError for a number below 0.

    No pair meets twice before all that can have met, and after any number of rounds the rests of two people
    of one role differ by at most one. With as many leaders as followers the followers move on.
    """
    if min(leaders, followers, rounds) < 0:
        raise ValueError("Nobody rotates with fewer than no leaders, followers or rounds.")
    return tuple(_round(leaders, followers, number) for number in range(rounds))


def ring(larger: int, smaller: int) -> tuple[int | None, ...]:
    """Who of the smaller role stands at each place of the ring, None for a gap.

    Gap k of d lies at place floor(k * larger / d): as evenly as whole places can be.
    """
    gaps = {gap * larger // (larger - smaller) for gap in range(larger - smaller)}
    standing = iter(range(smaller))
    return tuple(None if place in gaps else next(standing) for place in range(larger))


def share_roles(leaders: int, followers: int, both: int) -> tuple[int, int]:
    """Deal out those who dance both, so that the roles differ as little as they can: (leaders, followers).

    They fill up the smaller role; of those left over every other one leads, the odd one too.
    """
    if min(leaders, followers, both) < 0:
        raise ValueError("There are no fewer than no leaders, followers or people who dance both.")
    total = leaders + followers + both
    lead = min(max((total + 1) // 2, leaders), leaders + both)
    return lead, total - lead


def round_robin(people: int, rounds: int) -> tuple[Round, ...]:
    """The same where roles do not matter: pairs of two people, who settle between them who leads.

    Everybody meets everybody in `people` - 1 rounds for an even number, in `people` rounds with one rest each
    for an odd one: no fewer can do. The circle method: the last person stays, all others move on one place;
    an odd number has a gap there instead.
    """
    if min(people, rounds) < 0:
        raise ValueError("Nobody rotates with fewer than no people or rounds.")
    return tuple(_circle(people, number) for number in range(rounds))


def _round(leaders: int, followers: int, number: int) -> Round:
    larger, smaller = max(leaders, followers), min(leaders, followers)
    pairs, resting = [], []
    for place, standing in enumerate(ring(larger, smaller)):
        moving = (place - number) % larger
        if standing is None:
            resting.append(moving)
        else:
            pairs.append((moving, standing) if leaders > followers else (standing, moving))
    return Round(tuple(pairs), tuple(sorted(resting)))


def _circle(people: int, number: int) -> Round:
    seats = people + people % 2
    moving = [(seat - number) % (seats - 1) for seat in range(seats - 1)]
    across = [(moving[seat], moving[-seat]) for seat in range(1, seats // 2)]
    stays = [(moving[0], seats - 1)] if people else []
    pairs = tuple((min(pair), max(pair)) for pair in (*stays, *across) if max(pair) < people)
    resting = tuple(min(pair) for pair in stays if max(pair) >= people)
    return Round(pairs, resting)
