"""Whose address is it? Somebody under 18 is reached through a guardian, never at an address of their own.

Nobody can tell for certain from an address; what can be told is whether it carries the child's name and no
name of the guardian's (common practice, no source).
"""

from __future__ import annotations

import re
import unicodedata

LEAST_LETTERS = 3
"""Names shorter than this stand in too many words to say anything."""


def looks_like_their_own(address: str, *, name: str, guardian: str) -> bool:
    """Whether a word before the @ begins with the first name in `name`, and none holds a name of `guardian`
    that is not in `name` too."""
    before_at = _plain(address.partition("@")[0])
    own = _words(name)
    if not own or len(own[0]) < LEAST_LETTERS:
        return False
    theirs = [word for word in _words(guardian) if word not in own and len(word) >= LEAST_LETTERS]
    if any(word in before_at for word in theirs):
        return False
    return any(word.startswith(own[0]) for word in _words(before_at))


def _plain(text: str) -> str:
    """Without accents and capitals: Zoë is zoe."""
    return unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().casefold()


def _words(text: str) -> list[str]:
    return re.findall(r"[a-z]+", _plain(text))
