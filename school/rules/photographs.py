"""Whether photographs and video may be taken of somebody: their last word, while it still stands.

Consent is per person, and asked for again before a showcase; of somebody under 18 the guardian gives it
(common practice, no source). A no stands until the person takes it back: nobody is asked to explain it.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum


class Stand(StrEnum):
    """ask: nothing was said, or it has to be asked again."""

    YES = "yes"
    NO = "no"
    ASK = "ask"


@dataclass(frozen=True, slots=True)
class Word:
    agrees: bool
    said_on: dt.date
    by_guardian: bool


def stand(word: Word | None, *, is_minor: bool, since: dt.date | None = None) -> Stand:
    """What the last word comes to. since: an earlier yes is asked for again, as before a showcase.

    A guardian's yes ends when the person comes of age, and a person's own where it turns out they are not.
    """
    if word is None:
        return Stand.ASK
    if not word.agrees:
        return Stand.NO
    if word.by_guardian != is_minor or (since is not None and word.said_on < since):
        return Stand.ASK
    return Stand.YES
