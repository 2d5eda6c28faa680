"""How far apart and at which side of each other partners stand in a hold (common practice, no source).

A school names its holds as it likes, so only words that all use are looked for; how the partners face each
other tells the rest. Distances are between the middles of two pairs of feet, in foot lengths.
"""

from dataclasses import dataclass
from typing import Final

from curriculum.rules.alignment import EIGHTHS

FACE_TO_FACE: Final = EIGHTHS // 2
_BESIDE: Final = 2.0
_DISTANCES: Final = (
    ("closed", 1.5),
    ("promenade", 1.6),
    ("wrap", 1.3),
    ("shadow", 1.4),
    ("two-hand", 2.0),
    ("side by side", 2.2),
    ("fan", 3.0),
)
_ARMS_LENGTH: Final = 2.6


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the follower stands. bearing: eighths to the right of where the leader faces. facing: follower's
    direction less the leader's, eighths. distance: foot lengths. v_shaped: both go forward along the line
    between their two directions, as in promenade.
    """

    bearing: float
    facing: int
    distance: float
    v_shaped: bool = False

    @property
    def shared_way(self) -> float:
        """The line between the two directions, eighths to the right of where the leader faces."""
        signed = self.facing - EIGHTHS if self.facing > FACE_TO_FACE else self.facing
        return signed / 2


def standing_in(hold: str, facing: int | None) -> Standing:
    """How a couple stands in the hold of that name. facing None = free: then face to face is drawn."""
    name = hold.casefold()
    distance = next((far for word, far in _DISTANCES if word in name), _ARMS_LENGTH)
    if facing is None:
        return Standing(0.0, FACE_TO_FACE, distance)
    if facing == 0:
        return Standing(-_BESIDE if "left" in name else _BESIDE, 0, distance)
    # Face to face the follower is straight ahead; the more they open, the further round to the closed side.
    return Standing((facing - FACE_TO_FACE) / 2, facing, distance, "promenade" in name)
