"""Names as they are sought: without case and accents, and mistyped."""

from __future__ import annotations

import unicodedata
from typing import Final

from rapidfuzz.distance import OSA

# How near a mistyped name is: one slip in three letters still is, two in five no longer.
NEAR: Final = 0.65


def plain_letters(text: str) -> str:
    """Casefolded, without marks, single spaces between words: “orjan” is “ÖRJAN” and “Örjan”."""
    text = " ".join(text.casefold().split())
    if text.isascii():
        return text
    marked = unicodedata.normalize("NFKD", text)
    return "".join(letter for letter in marked if not unicodedata.combining(letter))


def likeness(asked: str, name: str) -> float:
    """How near `asked` is to the name as a whole, or to as many of its words in a row as were asked for: 1
    for the same, 0 below `NEAR`. Both in plain letters."""
    words, many = name.split(), len(asked.split())
    runs = {" ".join(words[start : start + many]) for start in range(len(words) - many + 1)}
    return max(OSA.normalized_similarity(asked, run, score_cutoff=NEAR) for run in {name, *runs})
