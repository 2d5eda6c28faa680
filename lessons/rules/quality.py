"""How good a plan is, in the words the school reads."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

_CALLED: Final = {
    "left_out": "figures left out, by importance",
    "moved": "figures moved",
    "late_reviews": "lessons that reviews come early or late",
    "peak": "minutes in the fullest lesson",
    "order": "neighbours out of order",
}


def quality(status: str, aims: Iterable[tuple[str, int, int]]) -> str:
    """ "best possible", "within 3 % of the best possible", or what is and is not known.

    status: the planner's. aims: (name, value, bound) in rank. The first aim that is not proved equal to its
    bound is what may still improve; its distance is told as a share of the value, rounded up, where the
    bound is above nought, and in its own unit otherwise. The aims behind it are not proved at all.
    """
    if status == "optimal":
        return "best possible"
    if status == "impossible":
        return "not possible"
    if status == "unknown":
        return "no plan found in the time given"
    for name, value, bound in aims:
        if value > bound > 0:
            return f"within {-(-100 * (value - bound) // bound)} % of the best possible"
        if value > bound:
            return f"not proved best: {_CALLED[name]}, {value} now, perhaps fewer"
    return "best possible"


def called(aim: str) -> str:
    """What an aim counts, in words."""
    return _CALLED[aim]
