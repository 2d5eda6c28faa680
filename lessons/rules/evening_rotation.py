"""One segment's changes of partner: from who is here to who dances with whom, round by round.

The ring of `lessons.planners.rotation` is kept as it can be called in a hall. What the ring does not know is
put right round by round: two who are not to be paired, somebody who comes later, couples who stay together.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, islice, permutations
from typing import Final

from lessons.planners.rotation import Round, ring, rotation, round_robin, share_roles

# Common practice, no source: about as long as one dance to one piece of music. The school sets its own.
MINUTES_WITH_A_PARTNER: Final = 3
LEADER, FOLLOWER, BOTH = "L", "F", "B"


@dataclass(frozen=True, slots=True)
class Dancer:
    """role: "L", "F" or "B" for either. from_round: 1, or the round in which somebody late joins in.
    own_role: "L" or "F", which whoever dances either keeps unless another gains something."""

    key: int
    name: str
    role: str
    from_round: int = 1
    own_role: str = ""


@dataclass(frozen=True, slots=True)
class Hall:
    """Who dances. helpers: called in only where a partner is missing, in this order. fixed: couples (keys)
    who do not change. apart: pairs (keys) who are not to dance together. roles_matter: else everybody dances
    with everybody."""

    dancers: tuple[Dancer, ...]
    helpers: tuple[Dancer, ...] = ()
    fixed: tuple[tuple[int, int], ...] = ()
    apart: frozenset[frozenset[int]] = frozenset()
    followers_move: bool = True
    roles_matter: bool = True


Couple = tuple[Dancer, Dancer]


@dataclass(frozen=True, slots=True)
class HallRound:
    """couples: (leader, follower) in the ring; together: couples who do not change. told: what is said to
    single people in this round beside the call."""

    number: int
    couples: tuple[Couple, ...]
    together: tuple[Couple, ...]
    resting: tuple[Dancer, ...]
    told: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Place:
    """A place of the ring as it stands in the first round. Nobody stands at a gap; `moves` may come later."""

    stands: Dancer | None
    moves: Dancer | None


@dataclass(frozen=True, slots=True)
class HallRotation:
    """leaders, followers: who changes partners, those who dance both dealt out, helpers called in.

    ring: places in order; the larger role is the one that moves in it. Empty where roles do not matter.
    """

    rounds: tuple[HallRound, ...]
    leaders: tuple[Dancer, ...]
    followers: tuple[Dancer, ...]
    called_in: tuple[Dancer, ...] = ()
    ring: tuple[Place, ...] = ()


def rounds_in(minutes: int, minutes_a_round: int = MINUTES_WITH_A_PARTNER) -> int:
    """How many rounds a segment has: whole rounds of at least so many minutes, one if it is shorter."""
    return max(1, minutes // max(1, minutes_a_round))


def rotate(hall: Hall, rounds: int) -> HallRotation:
    """Who dances with whom in each of the rounds. Nobody apart is ever paired; everybody who is there dances
    or rests in each round, once."""
    together, free = _couples_who_stay(hall)
    leaders, followers, called = _roles(free, hall.helpers) if hall.roles_matter else _all(free, hall.helpers)
    leaders, followers = _arranged(leaders, followers, hall, rounds)
    made = _made(len(leaders), len(followers), rounds, hall.roles_matter)
    met: Counter[frozenset[int]] = Counter()
    return HallRotation(
        rounds=tuple(
            _round(number, one, (leaders, followers if hall.roles_matter else leaders), together, hall, met)
            for number, one in enumerate(made, start=1)
        ),
        leaders=leaders,
        followers=followers,
        called_in=called,
        ring=_ring(leaders, followers) if hall.roles_matter else (),
    )


def _made(leaders: int, followers: int, rounds: int, roles_matter: bool) -> tuple[Round, ...]:
    return rotation(leaders, followers, rounds) if roles_matter else round_robin(leaders, rounds)


def _couples_who_stay(hall: Hall) -> tuple[tuple[Couple, ...], tuple[Dancer, ...]]:
    """The fixed couples, each person in one at most and none of them apart; and everybody else."""
    by_key = {dancer.key: dancer for dancer in hall.dancers}
    couples: list[Couple] = []
    for one, other in hall.fixed:
        if one != other and one in by_key and other in by_key and not _apart(hall, one, other):
            couples.append(_in_roles(by_key.pop(one), by_key.pop(other)))
    return tuple(couples), tuple(by_key.values())


def _in_roles(one: Dancer, other: Dancer) -> Couple:
    """Leader first, as far as their roles say so."""
    return (other, one) if one.role == FOLLOWER or other.role == LEADER else (one, other)


def _roles(
    free: Sequence[Dancer], helpers: Sequence[Dancer]
) -> tuple[tuple[Dancer, ...], tuple[Dancer, ...], tuple[Dancer, ...]]:
    """Leaders, followers, and the helpers among them: one for each gap that is left, as far as they go.

    Those who dance both are dealt out so that, with the helpers, the fewest are left without a partner; of
    such dealings the one that calls fewest helpers, then those who come first, then the one in which most
    keep their own role, then as without any.
    """
    leaders = [dancer for dancer in free if dancer.role == LEADER]
    followers = [dancer for dancer in free if dancer.role == FOLLOWER]
    both = [dancer for dancer in free if dancer.role == BOTH]
    both.sort(key=lambda dancer: (LEADER, "", FOLLOWER).index(dancer.own_role))
    usual = share_roles(len(leaders), len(followers), len(both))[0] - len(leaders)

    def wanting(lead: int) -> int:
        """How many more would lead than follow if so many of those who dance both lead; below 0, follow."""
        return len(leaders) - len(followers) + 2 * lead - len(both)

    def changing(lead: int) -> int:
        leads, follows = both[:lead], both[lead:]
        others = (*(one.own_role == FOLLOWER for one in leads), *(one.own_role == LEADER for one in follows))
        return sum(others)

    def cost(lead: int) -> tuple[int, int, tuple[int, ...], int, int]:
        come = _come_in(wanting(lead), helpers)
        return abs(wanting(lead)) - len(come), len(come), come, changing(lead), abs(lead - usual)

    lead = min(range(len(both) + 1), key=cost)
    role = FOLLOWER if wanting(lead) > 0 else LEADER
    called = tuple(replace(helpers[index], role=role) for index in _come_in(wanting(lead), helpers))
    lead_too, follow_too = (called, ()) if role == LEADER else ((), called)
    return (*leaders, *both[:lead], *lead_too), (*followers, *both[lead:], *follow_too), called


def _come_in(more_leaders: int, helpers: Sequence[Dancer]) -> tuple[int, ...]:
    """Which helpers, by place in their order, come into the smaller role, where so many more lead."""
    wanted = FOLLOWER if more_leaders > 0 else LEADER
    can = (index for index, helper in enumerate(helpers) if helper.role in (wanted, BOTH))
    return tuple(islice(can, abs(more_leaders)))


def _all(
    free: Sequence[Dancer], helpers: Sequence[Dancer]
) -> tuple[tuple[Dancer, ...], tuple[Dancer, ...], tuple[Dancer, ...]]:
    """Everybody in one line, a helper among them where the number is odd; the other side is the same line."""
    called = tuple(helpers[: len(free) % 2])
    return (*free, *called), (), called


def _arranged(
    leaders: tuple[Dancer, ...], followers: tuple[Dancer, ...], hall: Hall, rounds: int
) -> tuple[tuple[Dancer, ...], tuple[Dancer, ...]]:
    """The larger role in an order in which those who are apart do not come together in these rounds, or as
    few of them as exchanging two at a time can do."""
    followers_turn = len(followers) > len(leaders)
    line = list(followers if followers_turn else leaders)
    made = _made(len(leaders), len(followers), rounds, hall.roles_matter)
    meets = {pair for one in made for pair in one.pairs}

    def clashes() -> int:
        lead, follow = (leaders, line) if followers_turn else (line, followers or line)
        leading = {dancer.key: index for index, dancer in enumerate(lead)}
        following = {dancer.key: index for index, dancer in enumerate(follow)}
        both_ways = ((one, other) for pair in hall.apart for one, other in permutations(pair))
        return sum((leading.get(one), following.get(other)) in meets for one, other in both_ways)

    best = clashes()
    for one, other in combinations(range(len(line)), 2):
        if not best:
            break
        line[one], line[other] = line[other], line[one]
        if (now := clashes()) < best:
            best = now
        else:
            line[one], line[other] = line[other], line[one]
    return (leaders, tuple(line)) if followers_turn else (tuple(line), followers)


def _round(
    number: int,
    one: Round,
    sides: tuple[Sequence[Dancer], Sequence[Dancer]],
    together: Sequence[Couple],
    hall: Hall,
    met: Counter[frozenset[int]],
) -> HallRound:
    lead, follow = sides
    larger = follow if len(follow) > len(lead) else lead
    couples = [(lead[first], follow[second]) for first, second in one.pairs]
    resting = [larger[index] for index in one.resting]
    told: list[str] = []
    couples, waiting = _only_those_here(couples, number)
    stay, waiting_for_their_own = _only_those_here(together, number)
    resting = [dancer for dancer in resting if dancer.from_round <= number] + waiting
    _part(couples, resting, hall, met, told)
    _bring_together(couples, resting, hall, met, told)
    met.update(_pair(*couple) for couple in couples)
    return HallRound(number, tuple(couples), tuple(stay), (*resting, *waiting_for_their_own), tuple(told))


def _only_those_here(couples: Iterable[Couple], number: int) -> tuple[list[Couple], list[Dancer]]:
    """Couples of which both are here, and those who wait for somebody late."""
    here, waiting = [], []
    for couple in couples:
        there = [dancer for dancer in couple if dancer.from_round <= number]
        if len(there) == 2:
            here.append(couple)
        else:
            waiting += there
    return here, waiting


def _part(
    couples: list[Couple], resting: list[Dancer], hall: Hall, met: Counter[frozenset[int]], told: list[str]
) -> None:
    """Who is not to be paired changes places with somebody near; where nobody can, both rest, and may be
    brought together with others who rest."""
    for lead, follow in couples.copy():
        if not _apart(hall, lead.key, follow.key) or (lead, follow) not in couples:
            continue
        at = couples.index((lead, follow))
        swaps = [
            (met[_pair(lead, b)] + met[_pair(a, follow)], abs(index - at), index)
            for index, (a, b) in enumerate(couples)
            if index != at and not _apart(hall, lead.key, b.key) and not _apart(hall, a.key, follow.key)
        ]
        if swaps:
            index = min(swaps)[2]
            a, b = couples[index]
            couples[index], couples[at] = (lead, b), (a, follow)
            told.append(f"{lead.name} and {a.name} change places for this round.")
        else:
            couples.pop(at)
            resting += [lead, follow]


def _bring_together(
    couples: list[Couple], resting: list[Dancer], hall: Hall, met: Counter[frozenset[int]], told: list[str]
) -> None:
    """Two who rest at once and could dance together do, unless they have danced together already."""
    for one, other in combinations(resting.copy(), 2):
        roles = {one.role, other.role}
        fits = not hall.roles_matter or roles not in ({LEADER}, {FOLLOWER})
        new = not met[_pair(one, other)] and not _apart(hall, one.key, other.key)
        if fits and new and one in resting and other in resting:
            resting.remove(one)
            resting.remove(other)
            couples.append(_in_roles(one, other))
            told.append(f"{one.name} and {other.name} dance together.")


def _ring(leaders: Sequence[Dancer], followers: Sequence[Dancer]) -> tuple[Place, ...]:
    larger, smaller = (leaders, followers) if len(leaders) > len(followers) else (followers, leaders)
    return tuple(
        Place(None if standing is None else smaller[standing], larger[place])
        for place, standing in enumerate(ring(len(larger), len(smaller)))
    )


def _pair(one: Dancer, other: Dancer) -> frozenset[int]:
    return frozenset((one.key, other.key))


def _apart(hall: Hall, one: int, other: int) -> bool:
    return frozenset((one, other)) in hall.apart
