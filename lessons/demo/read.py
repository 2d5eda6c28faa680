"""Reading the demo school's data files, so that a slip in one is said in a sentence."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

FOLDER = Path(__file__).resolve().parent
TICKS_PER_BEAT = 12

Row = dict[str, Any]
Found = TypeVar("Found")


class DemoDataError(ValueError):
    """A data file says something that cannot be: the sentence names it."""


@dataclass(frozen=True)
class Stance:
    """A stance as the files write it: hold's key, leader's free foot, place; empty or None = any."""

    hold: str
    foot: str
    place: int | None


def read(name: str) -> Row:
    """The file `name`.toml of this folder."""
    return tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))


def look_up(found: Mapping[str, Found], name: str, kind: str) -> Found:
    """What stands under `name`; a sentence if nothing does."""
    try:
        return found[name]
    except KeyError:
        raise DemoDataError(f"The demo's data files name the {kind} “{name}”, but there is none.") from None


def stance_of(text: str) -> Stance:
    """`"CL R 1"`: closed, the leader's right foot free, place 1. A dash means any; a missing place too."""
    hold, foot, place = [*text.split(), "-"][:3]
    return Stance(
        "" if hold == "-" else hold, "" if foot == "-" else foot, None if place == "-" else int(place)
    )


def step_of(text: str) -> tuple[str, str, str]:
    """`"L step forward"`: the foot, the action, the direction. `"hold"` has no foot and no direction."""
    first, _, rest = text.partition(" ")
    if first not in {"L", "R"}:
        return "", first, rest
    action, _, direction = rest.partition(" ")
    return first, action, direction
