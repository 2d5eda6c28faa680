"""Who wrote while somebody had the same page open: another, or the same person in another window."""

from __future__ import annotations

from collections.abc import Collection

from school.models import Person


def who_was_first(what: str, writers: Collection[int | None], reader: Person | None) -> str:
    """A sentence. what: "this routine"; writers: who wrote meanwhile, by key, None where it is not known.

    Whoever goes back to a page, or has it open twice, overtakes themselves: nobody else is to be blamed.
    """
    if reader is not None and set(writers) == {reader.pk}:
        return f"You changed {what} since, in another window or before you went back."
    return f"Somebody else changed {what} while you had it open."
