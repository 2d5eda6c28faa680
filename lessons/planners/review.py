"""When a figure comes again, from how it went each time: solid, shaky, not there yet, or nothing said.

The rule. A figure stands on a rung; from rung r it comes again after 2^(r/2) lessons, rounded, but after one
lesson at the least and at most `MOST_DAYS` later.

- New: solid puts it on rung 2, nothing said on 0, shaky on -1, not there yet on -2.
- Again: solid lifts it two rungs, nothing said one, shaky leaves it, not there yet puts it back to -2.
- Planned ahead, each time again lifts it one rung. It is done after the time that was planned from rung 2,
  and has then come again at least twice.

So a figure of which nothing is said comes again 1, 2 and 4 lessons after it was new, as is usual in a weekly
class (common practice, no source); one that was solid after 2 and 5; one that was shaky after 1, 2, 3 and 5;
one that is not there yet after 1, 2, 3, 4 and 6. A better word never brings a figure sooner or more often.

Distances grow while it goes well (Kang et al. 2014: expanding gaps stay higher on the way). The gap that
serves best is 20 to 40 % of the time it must last where that is a week, and 5 to 10 % where it is a year
(Cepeda et al. 2008): over a term of ten weeks every distance of a weekly class lies between 5 and 40 % of it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

TERM_DAYS = 70
MOST_DAYS = TERM_DAYS * 40 // 100

SOLID, UNSAID, SHAKY, NOT_YET = "solid", "", "shaky", "not_yet"
WORDS = (NOT_YET, SHAKY, UNSAID, SOLID)

_NEW = {SOLID: 2, UNSAID: 0, SHAKY: -1, NOT_YET: -2}
_LIFT = {SOLID: 2, UNSAID: 1, SHAKY: 0}
_LAST_RUNG = 2
_LEAST_TIMES = 2


def review_after(
    new: str, again: Sequence[tuple[int, str]] = (), *, not_before: int = 1, days_between: float = 7
) -> tuple[int, ...]:
    """Lessons between a figure's introduction and each time it comes again, those that have been included.

    `new`: how it went when it was new; `again`: (lessons since then, how it went) of each time again so far,
    rising. `not_before`: the first lesson to come, counted the same way. `days_between`: days from lesson to
    lesson. Words are those of `WORDS`; another one is a KeyError.
    """
    rung = rung_after(new, [went for _, went in again])
    have_been = [distance for distance, _ in again]
    last = have_been[-1] if have_been else 0
    to_come = []
    for step in range(max(_LAST_RUNG + 1 - rung, _LEAST_TIMES - len(again))):
        last = max(last + distance(rung + step, days_between=days_between), not_before)
        to_come.append(last)
    return (*have_been, *to_come)


def rung_after(new: str, again: Sequence[str] = ()) -> int:
    """The rung a figure stands on after it was new and came again, by how it went each time."""
    rung = _NEW[new]
    for went in again:
        rung = _NEW[NOT_YET] if went == NOT_YET else rung + _LIFT[went]
    return rung


def distance(rung: int, *, days_between: float = 7) -> int:
    """Lessons until a figure on this rung comes again."""
    most = max(1, math.floor(MOST_DAYS / days_between))
    return min(max(1, round(2 ** (rung / 2))), most)
