"""Published rhythms keep their length exactly in ticks of a twelfth of a beat.

Sources by row: IDTA Associate theory; a teaching newsletter on dance sport (no. 3) for the cha-cha; the
Finnish DanceSport federation's figure list for the count of the turning lock; the rest common practice, from
memory. Where the values are not printed they are computed from the count.
"""

from fractions import Fraction

import pytest

from curriculum.rules.stance import TICKS_PER_BEAT

RHYTHMS = [
    ("foxtrot and quickstep", "S Q Q S", "2 1 1 2", 6, "IDTA Associate theory"),
    ("tango, where S is one beat of 2/4", "S Q Q S", "1 1/2 1/2 1", 3, "IDTA Associate theory"),
    ("tango natural promenade turn", "S Q Q S &", "1 1/2 1/2 3/4 1/4", 3, "IDTA Associate theory"),
    ("waltz", "1 2 3", "1 1 1", 3, "IDTA Associate theory"),
    ("waltz chasse", "1 2 & 3", "1 1/2 1/2 1", 3, "IDTA Associate theory"),
    ("waltz turning lock", "1 & 2 3", "1/2 1/2 1 1", 3, "count printed, values computed"),
    ("cha-cha", "2 3 4 & 1", "1 1 1/2 1/2 1", 4, "teaching newsletter no. 3"),
    ("rumba", "2 3 4-1", "1 1 2", 4, "count printed, values computed"),
    ("jive basic", "Q Q Q a Q Q a Q", "1 1 3/4 1/4 1 3/4 1/4 1", 6, "IDTA Associate theory"),
    ("samba", "1 a 2", "3/4 1/4 1", 2, "IDTA Associate theory"),
    ("samba SQQ", "S Q Q", "1 1/2 1/2", 2, "IDTA Associate theory"),
    ("bachata", "1 2 3 tap", "1 1 1 1", 4, "common practice, from memory"),
    ("triple step, straight", "1 & 2", "1/2 1/2 1", 2, "common practice, from memory"),
    ("triple step, swung", "1 & 2", "2/3 1/3 1", 2, "common practice, from memory"),
    ("salsa breaking on 1", "1 2 3 hold 5 6 7 hold", "1 1 1 1 1 1 1 1", 8, "common practice, from memory"),
]


@pytest.mark.parametrize(("rhythm", "counts", "values", "beats", "source"), RHYTHMS)
def test_a_rhythm_adds_up_in_whole_ticks(rhythm, counts, values, beats, source):
    ticks = [Fraction(value) * TICKS_PER_BEAT for value in values.split()]
    assert len(ticks) == len(counts.split()), source
    assert {length.denominator for length in ticks} == {1}
    assert sum(ticks) == beats * TICKS_PER_BEAT
