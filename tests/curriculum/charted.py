"""Figures charted by hand for the tests of charts, a row a count as on a blackboard."""

from dataclasses import replace
from fractions import Fraction

from curriculum.rules.chart import (
    Hold,
    Step,
    check_chart,
)
from curriculum.rules.stance import Stance

OTHER = {"L": "R", "R": "L", None: None}
HOLDS = {
    "closed": Hold(4),
    "promenade": Hold(6),
    "two-hand": Hold(4),
    "left-to-right": Hold(4),
    "fan": Hold(2),
    "side by side": Hold(0),
    "shadow": Hold(0, same_foot=True),
    "apart": Hold(None),
}


class Figure:
    """A figure as it stands on the board: a row a count, "count ticks | leader | follower | hold"."""

    def __init__(self, entry, exit_, rows):
        self.entry, self.exit = entry, exit_
        cells = [[cell.strip() for cell in row.split("|")] for row in rows.strip().splitlines()]
        self.rhythm = [(timing.split()[0], int(timing.split()[1])) for timing, *_ in cells]
        self.leader = [step(timing, leader, hold) for timing, leader, _, hold in cells]
        self.follower = [step(timing, follower, "") for timing, _, follower, _ in cells]
        self.beats = Fraction(sum(ticks for _, ticks in self.rhythm), 12)

    def check(self, **changes):
        """Findings of the figure, with some of it changed."""
        asked = {
            "leader": self.leader,
            "follower": self.follower,
            "beats": self.beats,
            "entry": self.entry,
            "exit": self.exit,
            "rhythm": self.rhythm,
            "holds": HOLDS,
        }
        return check_chart(**(asked | changes))

    def only(self, **changes):
        """The one finding there should be."""
        (finding,) = self.check(**changes)
        return finding

    def with_leader(self, row, **changes):
        return self.check(leader=changed(self.leader, row, **changes))


def step(timing, written, hold):
    """A step such as "L step forward -2"; a number at the end is the turn."""
    count, ticks = timing.split()
    words = written.split()
    turn = int(words.pop()) if words[-1].lstrip("+-").isdigit() else 0
    foot = words.pop(0) if words[0] in "LR" else None
    return Step(count, int(ticks), foot, words[0], " ".join(words[1:]), turn, hold or None)


def changed(steps, row, **changes):
    return [replace(step, **changes) if number == row else step for number, step in enumerate(steps)]


NATURAL_TURN = Figure(
    Stance("closed", "R", 1),
    Stance("closed", "R", 7),
    """
    1 12 | R step forward  | L step back    |
    2 12 | L step side 2   | R step side 3  |
    3 12 | R close 1       | L close        |
    1 12 | L step back     | R step forward |
    2 12 | R step side 3   | L step side 2  |
    3 12 | L close         | R close 1      |
    """,
)
RIGHT_CHANGE = Figure(
    Stance("closed", "R", 7),
    Stance("closed", "L", 7),
    """
    1 12 | R step forward | L step back |
    2 12 | L step side    | R step side |
    3 12 | R close        | L close     |
    """,
)
REVERSE_TURN = Figure(
    Stance("closed", "L", 7),
    Stance("closed", "L", 1),
    """
    1 12 | L step forward | R step back    |
    2 12 | R step side -2 | L step side -3 |
    3 12 | L close -1     | R close        |
    1 12 | R step back    | L step forward |
    2 12 | L step side -3 | R step side -2 |
    3 12 | R close        | L close -1     |
    """,
)
WHISK = Figure(
    Stance("closed", "L", 1),
    Stance("promenade", "R", 1),
    """
    1 12 | L step forward | R step back     |
    2 12 | R step side    | L step side 2   |
    3 12 | L cross behind | R cross behind  | promenade
    """,
)
CHASSE = Figure(
    Stance("promenade", "R", 1),
    Stance("closed", "R", 1),
    """
    1 12 | R step across | L step across  |
    2  6 | L step side   | R step side -1 |
    &  6 | R close       | L close -1     |
    3 12 | L step side   | R step side    | closed
    """,
)
HESITATION = Figure(
    Stance("closed", "R", 1),
    Stance("closed", "L", 7),
    """
    1 12 | R step forward | L step back    |
    2 12 | L step side 2  | R step side 3  |
    3 12 | R close 1      | L close        |
    1 12 | L step back    | R step forward |
    2 12 | R step side 3  | L step side 3  |
    3 12 | L touch        | R touch        |
    """,
)
CHA_CHA_BASIC = Figure(
    Stance("closed", "L"),
    Stance("closed", "L"),
    """
    2 12 | L step forward | R step back    |
    3 12 | R replace      | L replace      |
    4  6 | L step side    | R step side    |
    &  6 | R close        | L close        |
    1 12 | L step side    | R step side    |
    2 12 | R step back    | L step forward |
    3 12 | L replace      | R replace      |
    4  6 | R step side    | L step side    |
    &  6 | L close        | R close        |
    1 12 | R step side    | L step side    |
    """,
)
LEFT_SIDE_PASS = Figure(
    Stance("left-to-right", "L", 0),
    Stance("left-to-right", "L", 1),
    """
    1 12 | L step back -1    | R step forward |
    2 12 | R step side -1    | L step forward |
    3  8 | L step in place -1 | R step forward -2 |
    &  4 | R step in place   | L cross in front |
    4 12 | L step forward -1 | R step back -2 |
    5  8 | R step behind     | L step behind  |
    &  4 | L step in place   | R step in place |
    6 12 | R step in place   | L step in place |
    """,
)
SUGAR_TUCK = Figure(
    Stance("left-to-right", "L", 0),
    Stance("left-to-right", "L", 0),
    """
    1 12 | L step back     | R step forward   |
    2 12 | R step back     | L step forward   | two-hand
    3  8 | L step in place | R touch -1       |
    &  4 | R step in place | hold             |
    4 12 | L step forward  | R step forward 5 | apart
    5  8 | R step behind   | L step back 4    | left-to-right
    &  4 | L step in place | R step in place  |
    6 12 | R step in place | L step in place  |
    """,
)
FIGURES = {
    "natural turn": NATURAL_TURN,
    "right foot closed change": RIGHT_CHANGE,
    "reverse turn": REVERSE_TURN,
    "whisk": WHISK,
    "chasse from promenade": CHASSE,
    "hesitation change": HESITATION,
    "cha-cha basic": CHA_CHA_BASIC,
    "left side pass": LEFT_SIDE_PASS,
    "sugar tuck": SUGAR_TUCK,
}
