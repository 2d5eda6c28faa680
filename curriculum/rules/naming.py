"""What two spellings of one name share."""

import unicodedata


def name_key(name: str) -> str:
    """NFKC and casefold, spaces folded.

    Done in Python, for SQLite's lower() knows ASCII only.
    """
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())
