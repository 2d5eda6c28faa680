"""How much a figure matters where not all can be taught, in words. One step weighs as much as three below."""

from __future__ import annotations

STEPS = ((1, "as any other"), (3, "more than others"), (9, "most of all"))


def importance_choices(value: int | None = None) -> list[tuple[int, str]]:
    """The steps; a value between or beyond them stays choosable as it is."""
    if value is None or value in dict(STEPS):
        return list(STEPS)
    return sorted([*STEPS, (value, importance_word(value))])


def importance_word(value: int) -> str:
    """The step's word, or where between the steps the value lies."""
    if value in dict(STEPS):
        return dict(STEPS)[value]
    below = [word for step, word in STEPS if step < value]
    return f"{below[-1]} ({value})" if below else f"less than others ({value})"
