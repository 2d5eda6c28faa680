"""How long it takes to compose a routine and to prove it best. Run: python tests/benchmarks/bench_compose.py

Thirty-six questions from fixed seeds: a dance of 40 figures with one to four ways each over twelve stances,
256 beats, eight required figures and six newest, half of them with an end, a few figures that bear two or
three in a row. Twelve each of three kinds (another number may be given: bench_compose.py 24): figures of two
to sixteen beats, where there are enough of them; of four to eight, where nearly every figure has to be used;
and of four only, where half must be come back to. Printed are the first sound routine (the answer where no
more than half a second is given), the whole answer, and what was proved.
"""

import random
import statistics
import sys
from pathlib import Path
from time import perf_counter, process_time

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from curriculum.rules.chain import Floor, Passage, Stance, check_routine
from curriculum.rules.compose import compose

FIGURES, BEATS, REQUIRED, NEWEST = 40, 256, 8, 6
KINDS = {"plenty": (2, 4, 6, 8, 12, 16), "scarce": (4, 6, 8), "too few": (4,)}
SECONDS, FIRST_SECONDS = 2.0, 0.5
EACH = 12


def asked(seed: int, lengths: tuple[int, ...]) -> dict[str, object]:
    chance = random.Random(seed)
    holds = ["closed", "promenade", "open"]
    stances = [Stance(hold, foot, place) for hold in holds for foot in "LR" for place in (1, 7)]
    passages = []
    for number in range(FIGURES):
        beats = chance.choice(lengths)
        for _ in range(chance.randint(1, 4)):
            entry, exit_ = chance.choice(stances), chance.choice(stances)
            passages.append(Passage(f"figure {number:02}", entry, exit_, beats))
    figures = sorted({passage.figure for passage in passages})
    return {
        "passages": passages,
        "floor": Floor({"closed": {"open"}, "open": {"closed"}}),
        "taught": set(figures),
        "beats": BEATS,
        "start": chance.choice(stances),
        "end": chance.choice(stances) if chance.random() < 0.5 else None,
        "required": chance.sample(figures, REQUIRED),
        "newest": frozenset(chance.sample(figures, NEWEST)),
        "in_a_row": {figure: chance.choice([2, 3]) for figure in chance.sample(figures, 6)},
    }


def measure(question: dict[str, object], seconds: float) -> tuple[object, float, float]:
    """The answer, how long one waited for it, and how long the processor worked."""
    waited, worked = perf_counter(), process_time()
    answer = compose(**question, seconds=seconds)
    return answer, perf_counter() - waited, process_time() - worked


def show(kind: str, lengths: tuple[int, ...], each: int) -> list[str]:
    firsts, waits, works, status, gaps = [], [], [], [], []
    for seed in range(each):
        question = asked(seed, lengths)
        first, first_wait, _ = measure(question, FIRST_SECONDS)
        firsts.append(first_wait if first.status != "unknown" else float("inf"))
        answer, waited, worked = measure(question, SECONDS)
        waits.append(waited)
        works.append(worked)
        status.append(answer.status)
        if answer.passages:
            report = check_routine(
                answer.passages, floor=question["floor"], taught=question["taught"], bar_beats=4
            )
            assert report.beats == BEATS
            assert "broken" not in {join.status for join in report.joins}
            gaps.append(answer.cost[0] - answer.bound[0])
    proved = status.count("optimal") + status.count("impossible")
    print(
        f"{kind:<8} proved {proved:2} of {each}   first: longest {max(firsts):.2f} s"
        f"   whole: median {statistics.median(waits):.2f} s, longest {max(waits):.2f} s"
        f" (processor {statistics.median(works):.2f}, {max(works):.2f})"
        f"   repeats above the bound: {max(gaps, default=0)}"
    )
    return status


def main() -> int:
    each = int(sys.argv[1]) if len(sys.argv) > 1 else EACH
    answers = [status for kind, lengths in KINDS.items() for status in show(kind, lengths, each)]
    proved = len(answers) - answers.count("feasible") - answers.count("unknown")
    print(f"proved in {SECONDS:g} s: {proved} of {len(answers)}")
    return 0 if "unknown" not in answers else 1


if __name__ == "__main__":
    sys.exit(main())
