"""How joins are put into words: the sentences a teacher would say."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

from curriculum.rules.alignment import DIRECTIONS, shortest_turn
from curriculum.rules.stance import Stance

FEET: Final = {"L": "left", "R": "right"}
_SAID_WITHOUT_IN: Final = ("closed", "open", "apart", "side by side")
_PARTS_OF_A_TURN: Final = {1: "an eighth", 2: "a quarter", 3: "three eighths", 4: "half a turn"}


@dataclass(frozen=True, slots=True)
class Words:
    """Names for keys, so that a finding speaks of "whisk" and "promenade".

    figures, holds: key -> name; a key without a name stands for itself. slot: places are the two ends of a
    slot instead of directions in the room.
    """

    figures: Mapping[str, str] = field(default_factory=dict)
    holds: Mapping[str, str] = field(default_factory=dict)
    slot: bool = False

    def figure(self, key: str) -> str:
        """A figure's name."""
        return self.figures.get(key, key)

    def hold(self, key: str | None) -> str:
        """A hold's name."""
        return "any hold" if key is None else self.holds.get(key, key)

    def in_hold(self, key: str | None) -> str:
        """The hold as it follows "leaves you" and "starts": "closed", but "in promenade"."""
        name = self.hold(key)
        if name.startswith(_SAID_WITHOUT_IN):
            return name
        return f"in {name} hold" if name.endswith("-hand") else f"in {name}"

    def change_of_hold(self, before: str | None, after: str | None) -> str:
        """The free change between two figures."""
        return f"change from {self.hold(before)} to {self.hold(after)} first"

    def give(self, figure: str, before: int, after: int) -> str:
        """What turning a figure a little more or less comes to: it ends facing another direction."""
        turn = shortest_turn(before, after)
        side = "right" if turn > 0 else "left"
        size = _PARTS_OF_A_TURN[abs(turn)]
        end, wanted = DIRECTIONS[before], DIRECTIONS[after]
        return f"end {self.figure(figure)} facing {wanted} instead of {end}, {size} further to the {side}"

    def broken(self, figures: tuple[str, str], before: Stance, entry: Stance, differ: Collection[str]) -> str:
        """Why the second figure cannot follow the first.

        differ: "hold", "foot", "place": only what does not agree is named. A figure with the key "" is not
        named either.
        """
        first, second = (self.figure(key) for key in figures)
        leaves = f"{first} leaves you" if first else "you stand"
        starts = f"{second} starts" if second else "what follows starts"
        left, wanted = self._stance(before, differ, " free"), self._stance(entry, differ, "")
        pause = "," if len(differ) == 1 else ";"
        return f"{leaves} {left}{pause} {starts} {wanted}"

    def _stance(self, stance: Stance, parts: Collection[str], free: str) -> str:
        said = []
        if "hold" in parts:
            said.append(self.in_hold(stance.hold))
        if "foot" in parts:
            said.append(f"with the leader's {FEET.get(stance.foot or '', 'either')} foot{free}")
        if "place" in parts and stance.place is not None:
            on_the_slot = f"with the follower at end {stance.place} of the slot"
            said.append(on_the_slot if self.slot else f"facing {DIRECTIONS[stance.place]}")
        return ", ".join(said)


PLAIN_WORDS: Final = Words()
"""Keys stand for themselves."""


def sentence(text: str) -> str:
    """The text with a capital and a full stop, as it stands on a page by itself."""
    return text[:1].upper() + text[1:] + "."


def amount(number: Fraction, noun: str) -> str:
    """A number with its noun: "1 bar", "6 bars", "7 1/2 beats"."""
    whole, part = divmod(number, 1)
    said = str(part) if part and not whole else f"{whole} {part}" if part else str(whole)
    return f"{said} {noun}" if number == 1 else f"{said} {noun}s"


def spoken_list(names: Sequence[str]) -> str:
    """One name or more: "whisk", "whisk and chasse", "whisk, chasse and wing"."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
