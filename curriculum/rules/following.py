"""What can be danced at a place of a routine: every way through every figure, and how well it fits there."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

from curriculum.rules.joins import Join, JoinStatus, join_between
from curriculum.rules.stance import Floor, Passage, Stance, round_the_corner, stance_after
from curriculum.rules.wording import PLAIN_WORDS, Words, sentence

Standing = Literal["taught", "planned", "elsewhere"]

_STANDINGS: tuple[Standing, ...] = ("taught", "planned", "elsewhere")
_EASE: tuple[JoinStatus, ...] = ("holds", "give", "free change", "broken")


@dataclass(frozen=True, slots=True)
class Candidate:
    """One way through a figure, tried at a place of a routine.

    standing: "taught"; "planned", to be taught before the routine is danced; "elsewhere", not in this course.
    into: how the couple comes into it; onward: how it leads into what follows, None where nothing does.
    """

    passage: Passage
    standing: Standing
    into: Join
    onward: Join | None

    @property
    def joins(self) -> tuple[Join, ...]:
        """The one or two joins at this place."""
        return (self.into,) if self.onward is None else (self.into, self.onward)

    @property
    def begins(self) -> bool:
        """Whether it can be begun here, wherever it leads."""
        return self.into.status != "broken"

    @property
    def fits(self) -> bool:
        """Whether no join at this place is broken."""
        return all(join.status != "broken" for join in self.joins)

    @property
    def status(self) -> JoinStatus:
        """The less easy of its joins."""
        return max((join.status for join in self.joins), key=_EASE.index)

    @property
    def reason(self) -> str:
        """Why it does not fit, or what is to be done before it and after it; "" where it simply follows.
        Sentences."""
        if not self.fits:
            return " ".join(sentence(join.reason) for join in self.joins if join.status == "broken")
        before = sentence(self.into.reason) if self.into.reason else ""
        after = f"After it: {self.onward.reason}." if self.onward and self.onward.reason else ""
        return " ".join(filter(None, (before, after)))


def what_can_follow(
    stance_before: Stance,
    stance_after_it: Stance | None,
    passages: Sequence[Passage],
    *,
    floor: Floor,
    taught: Collection[str],
    planned: Collection[str],
    give: int = 0,
    corners_after: int = 0,
    words: Words = PLAIN_WORDS,
    neighbours: tuple[str, str] = ("", ""),
) -> tuple[Candidate, ...]:
    """Every passage tried between two stances, best first; a passage given twice counts once.

    stance_before: where the couple stands (`stances_along`; UNKNOWN at the start of a routine).
    stance_after_it: the entry of the figure that follows, or None at the end. give: eighths the figure before
    may be turned more or less. corners_after: how many corners lie between this place and what follows.
    taught, planned: keys of figures. neighbours: keys of the figures before and after, for the sentences.

    Order: what fits; then what can be begun but does not lead into what follows; then the rest. Within each
    what is taught, planned, elsewhere; then what simply holds before what needs give or a free change; then
    the order given.
    """

    def candidate(passage: Passage) -> Candidate:
        into = join_between(
            stance_before,
            passage.entry,
            floor=floor,
            give=give,
            words=words,
            figures=(neighbours[0], passage.figure),
        )
        known: Standing = "planned" if passage.figure in planned else "elsewhere"
        standing: Standing = "taught" if passage.figure in taught else known
        return Candidate(passage, standing, into, onward(passage))

    def onward(passage: Passage) -> Join | None:
        if stance_after_it is None:
            return None
        stance = stance_after(stance_before, passage)
        for _ in range(corners_after):
            stance = round_the_corner(stance)
        figures = (passage.figure, neighbours[1])
        return join_between(
            stance, stance_after_it, floor=floor, give=passage.give, words=words, figures=figures
        )

    return tuple(sorted(map(candidate, dict.fromkeys(passages)), key=_rank))


def _rank(candidate: Candidate) -> tuple[bool, bool, int, int]:
    ease = sum(_EASE.index(join.status) for join in candidate.joins)
    return (not candidate.fits, not candidate.begins, _STANDINGS.index(candidate.standing), ease)
