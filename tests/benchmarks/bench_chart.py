"""How long the charts of a whole dance take to check. Run: python tests/benchmarks/bench_chart.py

200 figures of twelve counts for each role, half of them with mistakes (from a fixed seed). The aim is 200 ms.
"""

import random
import sys
from dataclasses import replace
from pathlib import Path
from time import perf_counter

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from curriculum.rules.chart import Hold, Step, check_chart
from curriculum.rules.stance import Stance

FIGURES, AIM_MS = 200, 200.0
RHYTHM = [("1", 12), ("2", 12), ("3", 8), ("&", 4), ("4", 12), ("5", 12)] * 2
HOLDS = {"closed": Hold(4), "open": Hold(4)}


def chart(first: str, second: str) -> list[Step]:
    feet = [first, second] * (len(RHYTHM) // 2)
    return [Step(count, ticks, foot, "step", "") for (count, ticks), foot in zip(RHYTHM, feet, strict=True)]


def spoiled(steps: list[Step], chance: random.Random) -> list[Step]:
    """The chart with one row's foot, one row's length and one row's turn changed."""
    steps = list(steps)
    for change in ({"foot": "L"}, {"ticks": 6}, {"turn": 1}):
        row = chance.randrange(len(steps))
        steps[row] = replace(steps[row], **change)
    return steps


def main() -> int:
    chance = random.Random(7)
    leader, follower = chart("L", "R"), chart("R", "L")
    dance = [(leader, follower)] * (FIGURES // 2)
    dance += [(spoiled(leader, chance), spoiled(follower, chance)) for _ in range(FIGURES // 2)]
    stance = Stance("closed", "L", 1)
    times = []
    for _ in range(5):
        start = perf_counter()
        found = sum(
            len(check_chart(*roles, beats=10, entry=stance, exit=stance, rhythm=RHYTHM, holds=HOLDS))
            for roles in dance
        )
        times.append((perf_counter() - start) * 1000)
    reached = min(times) < AIM_MS
    verdict = "aim reached" if reached else "aim MISSED"
    print(
        f"{FIGURES} figures, {found} findings: best {min(times):.1f} ms, worst {max(times):.1f} ms; {verdict}"
    )
    return 0 if reached else 1


if __name__ == "__main__":
    sys.exit(main())
