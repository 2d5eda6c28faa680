"""What can be wrong with a chart: findings with their place, and the words they share."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from curriculum.rules.steps import Step
from curriculum.rules.wording import amount

Role = Literal["leader", "follower"]

FindingKind = Literal[
    "action",  # not one of the trade's actions
    "foot",  # a step without a foot, or with one that is neither left nor right
    "two on one foot",  # two changes of weight on the same foot
    "standing foot",  # a touch with the foot that carries the weight
    "length",  # counts that do not add up to the figure
    "count",  # a count the rhythm does not have, or has and the chart lacks
    "ticks",  # a count of another length than in the rhythm
    "hold",  # a hold the dance does not have
    "hold change",  # a change of hold that no one leads
    "out of step",  # the roles end, or begin, on feet that the hold does not go with
    "facing",  # the turns do not bring the partners to what the exit hold says
    "alignment",  # the turns do not bring the leader to the exit's place
    "free foot",  # the free foot at the end is not the one the exit names
]


@dataclass(frozen=True, slots=True)
class Place:
    """Where in the chart. row: from 0; None = the role's whole chart. role None = both roles."""

    role: Role | None = None
    row: int | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """Something wrong. mend: what would put it right, "" where that cannot be known."""

    kind: FindingKind
    place: Place
    sentence: str
    mend: str = ""


def at_row(kind: FindingKind, role: Role, row: int, step: Step, what: str, mend: str = "") -> Finding:
    """A finding at one row; its sentence begins with role, row and count."""
    return Finding(
        kind, Place(role, row), f"{role.capitalize()}, row {row + 1} (count {step.count}): {what}.", mend
    )


def of_role(kind: FindingKind, role: Role, what: str, mend: str = "") -> Finding:
    """A finding about the whole chart of one role."""
    return Finding(kind, Place(role), f"{role.capitalize()}: {what}.", mend)


def of_both(kind: FindingKind, what: str, mend: str = "") -> Finding:
    """A finding about both roles together."""
    return Finding(kind, Place(), f"{what}.", mend)


def size(turn: int) -> str:
    """An amount of turn without its side: "an eighth", "3 eighths"."""
    return "an eighth" if abs(turn) == 1 else f"{abs(turn)} eighths"


def eighths(turn: int) -> str:
    """An amount of turn still to be made: "3 eighths further to the right"."""
    return f"{size(turn)} further to the {'right' if turn > 0 else 'left'}"


def length(beats: int | Fraction) -> str:
    """A length as it is said: "1/2 beat", "3 beats"."""
    return f"{beats} beat" if 0 < beats < 1 else amount(Fraction(beats), "beat")
