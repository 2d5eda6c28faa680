"""What a proposal to go on with a term comes to, in a few words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any


def sums(proposal: Mapping[str, Any], before: Mapping[str, Any]) -> str:
    """ "2 figures move, Alemana is left out". As a run's result keeps a proposal, and what stood before."""
    moving = sum(proposal["introductions"].get(key) is not None for key in proposal["why"])
    said = [f"{moving} figure{' moves' if moving == 1 else 's move'}"] if moving else []
    left_out: Sequence[str] = proposal["left_out"]
    if left_out:
        names = f"{', '.join(left_out[:-1])} and {left_out[-1]}" if len(left_out) > 1 else left_out[0]
        said.append(f"{names} {'is' if len(left_out) == 1 else 'are'} left out")
    if not said:
        many = len(_again_elsewhere(proposal, before))
        if many:
            said.append(f"{many} figure{' comes' if many == 1 else 's come'} again in other lessons")
    return ", ".join(said) or "nothing moves"


def _again_elsewhere(proposal: Mapping[str, Any], before: Mapping[str, Any]) -> set[str]:
    now = {(key, index) for key, index, _ in proposal["reviews"]}
    return {key for key, _ in now ^ {(key, index) for key, index in before["reviews"]}}
