"""What stands in a cell of the chart grid: read as it is typed, or refused with a sentence."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Final

from curriculum.rules.alignment import EIGHTHS
from curriculum.rules.steps import ACTIONS
from curriculum.spreadsheet.cells import did_you_mean, tidy_name

MOST_TICKS: Final = 480
MOST_EIGHTHS: Final = 32

DIRECTIONS: Final = (
    "forward",
    "back",
    "side",
    "side, small",
    "in place",
    "forward and across",
    "back and across",
    "side and slightly forward",
    "side and slightly back",
    "diagonally forward",
    "forward after the turn",
    "back after the turn",
    "behind",
    "in front",
    "beside",
    "outside partner",
)
"""Offered, not enforced: a direction is in the school's words."""

_FEET: Final = {"l": "L", "left": "L", "r": "R", "right": "R", "": "", "-": "", "–": ""}
_VULGAR: Final = {"⅛": "1/8", "¼": "1/4", "⅜": "3/8", "½": "1/2", "⅝": "5/8", "¾": "3/4", "⅞": "7/8"}
_SIGNED: Final = re.compile(r"([+-]?)(\d{1,3})")
_SIDED: Final = re.compile(r"(?:(\d{1,2})\s+)?(\d{1,2})(?:/([1-9]))?\s*(?:to the )?(l|left|r|right)")


def read_count(text: str) -> str:
    text = tidy_name(text)
    if not text:
        raise ValueError("the count is missing; write what is said there, such as 1 or &")
    return _short(text, 8, "the count")


def read_length(text: str) -> int:
    """Ticks, 12 to the beat."""
    text = tidy_name(text)
    if not text:
        raise ValueError("the ticks are missing; a whole beat is 12")
    if not re.fullmatch(r"\d{1,6}", text):
        raise ValueError(f"“{text}” is not a number of ticks; write a whole number, 12 to the beat")
    if not 1 <= int(text) <= MOST_TICKS:
        raise ValueError(f"{text} ticks is no length; it lies between 1 and {MOST_TICKS}")
    return int(text)


def read_foot(text: str) -> str:
    """L, R, or nothing."""
    try:
        return _FEET[tidy_name(text).casefold()]
    except KeyError:
        raise ValueError(f"“{tidy_name(text)}” is no foot; write L or R") from None


def read_action(text: str) -> str:
    """One of the trade's actions."""
    action = tidy_name(text).casefold()
    if not action:
        raise ValueError("the action is missing; say what the foot does, or empty this half for a held count")
    if action in ACTIONS:
        return action
    meant = did_you_mean(action, sorted(ACTIONS))
    known = f"did you mean {meant}?" if meant else f"there are {', '.join(sorted(ACTIONS))}"
    raise ValueError(f"“{tidy_name(text)}” is no action; {known}")


def read_direction(text: str) -> str:
    return _short(tidy_name(text), 60, "the direction")


def read_turn(text: str) -> int:
    """Eighths, right positive: 2, -2, or with its side in words: 1/4 right, ¼ L."""
    said = tidy_name(text).casefold().replace("−", "-").replace("–", "-")
    for sign, fraction in _VULGAR.items():
        said = said.replace(sign, f" {fraction}").strip()
    if not said or said == "-":
        return 0
    if signed := _SIGNED.fullmatch(said):
        eighths = Fraction(f"{signed[1]}{signed[2]}")
    elif sided := _SIDED.fullmatch(said):
        whole, top, below, side = sided.groups()
        turns = int(whole or 0) + Fraction(int(top), int(below or 1))
        eighths = turns * EIGHTHS * (-1 if side.startswith("l") else 1)
    else:
        raise ValueError(f"“{tidy_name(text)}” is no turn; write eighths, such as 2, or -2 to the left")
    if eighths.denominator != 1 or abs(eighths) > MOST_EIGHTHS:
        raise ValueError(f"“{tidy_name(text)}” is not a turn in eighths up to {MOST_EIGHTHS}")
    return int(eighths)


def read_hold(text: str, holds: Mapping[str, str]) -> str:
    """The name of a hold, typed by its name or key. holds: either of them in small letters -> the name."""
    said = tidy_name(text)
    if not said or said.casefold() in holds:
        return holds.get(said.casefold(), "")
    names = list(dict.fromkeys(holds.values()))
    meant = did_you_mean(said, names)
    known = f"did you mean {meant}?" if meant else f"there are {', '.join(names)}"
    raise ValueError(f"the dance has no hold “{said}”; {known}")


def read_cue(text: str) -> str:
    return _short(tidy_name(text), 200, "the cue")


def _short(text: str, most: int, what: str) -> str:
    if len(text) > most:
        raise ValueError(f"{what} has {len(text)} letters; {most} are allowed")
    return text
