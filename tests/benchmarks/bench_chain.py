"""How long a link and the re-check of a routine take. Run: python tests/benchmarks/bench_chain.py

Five dances of 40 figures with one to four passages each over twelve stances, from a fixed seed: links of up
to three figures between all pairs of stances, one and three at a time, and routines of 60 figures. Printed
are the median, the worst of all, and whether it stays under the aim of 5 ms.
"""

import random
import statistics
import sys
from collections.abc import Callable
from functools import partial
from itertools import product
from pathlib import Path
from time import perf_counter

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from curriculum.rules.chain import Floor, Passage, Stance, check_routine, find_link, find_links, stances_along

DANCES, FIGURES, ROUTINE = 5, 40, 60
AIM_MS = 5.0


def dance(chance: random.Random) -> tuple[list[Stance], list[Passage], Floor]:
    holds = ["closed", "promenade", "open"]
    stances = [Stance(hold, foot, place) for hold in holds for foot in "LR" for place in (1, 7)]
    passages = []
    for number in range(FIGURES):
        for _ in range(chance.randint(1, 4)):
            entry, exit_ = chance.choice(stances), chance.choice(stances)
            passages.append(Passage(f"figure {number:02}", entry, exit_, chance.choice([3, 6])))
    return stances, passages, Floor({"closed": {"open"}, "open": {"closed"}})


def routine(chance: random.Random, passages: list[Passage]) -> list[Passage]:
    """Sixty figures, each joining the one before where any does."""
    row = [chance.choice(passages)]
    while len(row) < ROUTINE:
        stance = stances_along(row)[-1]
        fitting = [passage for passage in passages if passage.entry == stance]
        row.append(chance.choice(fitting or passages))
    return row


def milliseconds(work: Callable[[], object]) -> float:
    """The best of three, so that another process on the machine counts less."""
    times = []
    for _ in range(3):
        start = perf_counter()
        work()
        times.append((perf_counter() - start) * 1000)
    return min(times)


def show(title: str, times: list[float]) -> bool:
    worst = max(times)
    verdict = "reached" if worst < AIM_MS else "MISSED"
    print(f"{title:<44} median {statistics.median(times):6.3f} ms   worst {worst:6.3f} ms   aim {verdict}")
    return worst < AIM_MS


def measure(chance: random.Random) -> tuple[list[float], list[float], float]:
    """Times of one dance: links one at a time, links three at a time, the check of a routine."""
    stances, passages, floor = dance(chance)
    taught = {passage.figure for passage in passages}
    pairs = list(product(stances, repeat=2))
    one = [milliseconds(partial(find_link, *pair, passages, floor=floor, taught=taught)) for pair in pairs]
    three = [milliseconds(partial(find_links, *pair, passages, floor=floor, taught=taught)) for pair in pairs]
    row = routine(chance, passages)
    return one, three, milliseconds(partial(check_routine, row, floor=floor, taught=taught, bar_beats=3))


def main() -> int:
    chance = random.Random(7)
    dances = [measure(chance) for _ in range(DANCES)]
    reached = [
        show("one link of up to three figures", [time for one, _, _ in dances for time in one]),
        show("three links of up to three figures", [time for _, three, _ in dances for time in three]),
        show(f"check of a routine of {ROUTINE} figures", [check for _, _, check in dances]),
    ]
    return 0 if all(reached) else 1


if __name__ == "__main__":
    sys.exit(main())
