"""The eight directions of the room and the arithmetic of turning between them.

A direction is a whole number 0..7, counted clockwise from the line of dance (LOD); one step is an eighth
of a turn to the right. Facing a direction is backing the opposite one. The order of the directions is that
of the technique books of the travelling dances (turning right from LOD one passes DW, W, DWA, ...).
"""

EIGHTHS = 8
"""Eighths in a whole turn."""

DIRECTIONS = ("LOD", "DW", "W", "DWA", "ALOD", "DCA", "C", "DC")
"""The directions as a teacher writes them; the place in the tuple is the number used everywhere else."""

DIRECTIONS_IN_FULL = (
    "line of dance",
    "diagonal to wall",
    "wall",
    "diagonal to wall against line of dance",
    "against line of dance",
    "diagonal to centre against line of dance",
    "centre",
    "diagonal to centre",
)


def direction_number(word: str) -> int:
    """The direction a teacher wrote ("DW" is 1). ValueError with a sentence if there is none of that name."""
    try:
        return DIRECTIONS.index(word.strip().upper())
    except ValueError:
        raise ValueError(f"There is no direction “{word}”; there are {', '.join(DIRECTIONS)}.") from None


def facing(alignment: str) -> int:
    """The direction faced in an alignment such as "facing DW" or "backing LOD" (that is facing ALOD)."""
    manner, _, word = alignment.strip().partition(" ")
    if manner not in ("facing", "backing"):
        raise ValueError(f"“{alignment}” says neither facing nor backing.")
    return (direction_number(word) + (EIGHTHS // 2 if manner == "backing" else 0)) % EIGHTHS


def turned(direction: int, eighths: int) -> int:
    """Where one faces after turning so many eighths, right positive."""
    return (direction + eighths) % EIGHTHS


def shortest_turn(start: int, end: int) -> int:
    """Eighths of the shortest turn from start to end, right positive: -3..4 (a half turn counts as right)."""
    turn = (end - start) % EIGHTHS
    return turn - EIGHTHS if turn > EIGHTHS // 2 else turn
