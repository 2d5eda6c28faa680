"""What the partner page shows: who is here, the rounds, the ring, the sentence to call."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from curriculum.models import FloorRole
from lessons.evening.cast import Cast
from lessons.evening.ring_picture import RingPicture, ring_picture
from lessons.forms.partners import PartnersForm
from lessons.models import Enrolment, HelperCall, NotPaired
from lessons.rules.evening_rotation import Dancer, Hall, HallRotation, HallRound, rotate, rounds_in
from lessons.rules.rotation_words import called, remarks


@dataclass(frozen=True)
class PartnerRow:
    """Whom one person dances with, round by round: (what is said, whether it is a partner's name)."""

    dancer: Dancer
    partners: tuple[tuple[str, bool], ...]


@dataclass(frozen=True)
class Changes:
    """rows: those who stay where they are; resting: who else rests, a text for each round; told: (round, what
    is said to single people)."""

    rotation: HallRotation
    call: str
    remarks: tuple[str, ...]
    minutes_each: int
    rows: tuple[PartnerRow, ...]
    resting: tuple[str, ...]
    together: tuple[str, ...]
    told: tuple[tuple[int, str], ...]
    ring: RingPicture | None
    stands: str

    @property
    def rounds(self) -> range:
        return range(1, len(self.rotation.rounds) + 1)


def apart_among(cast: Cast) -> list[NotPaired]:
    """Those of the lesson's dancers who are not to be paired. One query."""
    pairs = NotPaired.objects.among({row.person_id for row in cast.enrolments})
    return list(pairs.select_related("person", "other"))


def changes_of(form: PartnersForm, *, followers_move: bool) -> Changes:
    """The answer to a valid form."""
    hall = Hall(
        dancers=form.dancers,
        helpers=form.called_in,
        fixed=form.couples,
        apart=form.known_apart,
        followers_move=followers_move,
        roles_matter=not form.cleaned_data["everybody"],
    )
    count = rounds_in(form.cleaned_data["minutes"], form.cleaned_data["each"])
    rotation = rotate(hall, count)
    standing = rotation.leaders if followers_move or not hall.roles_matter else rotation.followers
    return Changes(
        rotation=rotation,
        call=called(rotation, hall),
        remarks=tuple(remarks(rotation, hall)),
        minutes_each=form.cleaned_data["minutes"] // count,
        rows=tuple(PartnerRow(dancer, tuple(_partners(dancer, rotation.rounds))) for dancer in standing),
        resting=_resting(rotation.rounds, standing),
        together=tuple(
            f"{one.name} and {other.name}"
            for one, other in dict.fromkeys(couple for row in rotation.rounds for couple in row.together)
        ),
        told=tuple((row.number, words) for row in rotation.rounds for words in row.told),
        ring=ring_picture(rotation, followers_move=followers_move),
        stands="" if not hall.roles_matter else "leader" if followers_move else "follower",
    )


def dancing_in(changes: Changes, called: Iterable[HelperCall]) -> list[Enrolment]:
    """Who changes partners, in the role they were dealt, for what is short to be counted by; without helpers
    who were `called`, who are counted by that. Nobody where roles do not matter: none can be short."""
    if not changes.stands:
        return []
    rotation, keys = changes.rotation, {call.person_id for call in called}
    dealt = ((FloorRole.LEADER, rotation.leaders), (FloorRole.FOLLOWER, rotation.followers))
    return [
        Enrolment(person_id=dancer.key, role=role)
        for role, dancers in dealt
        for dancer in dancers
        if dancer.key not in keys
    ]


def _partners(dancer: Dancer, rounds: Iterable[HallRound]) -> Iterable[tuple[str, bool]]:
    for row in rounds:
        partner = {one.key: other.name for one, other in row.couples}
        partner |= {other.key: one.name for one, other in row.couples}
        if dancer.key in partner:
            yield partner[dancer.key], True
        else:
            yield "rests" if dancer.from_round <= row.number else "not yet", False


def _resting(rounds: Iterable[HallRound], standing: Iterable[Dancer]) -> tuple[str, ...]:
    """Who rests and has no row of their own, for each round; nothing at all where nobody does."""
    shown = {dancer.key for dancer in standing}
    names = tuple(", ".join(one.name for one in row.resting if one.key not in shown) for row in rounds)
    return names if any(names) else ()
