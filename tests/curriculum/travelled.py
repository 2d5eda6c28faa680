"""A small waltz as a curriculum file carries it."""

from dataclasses import replace

from curriculum.travel import values
from curriculum.travel.values import Curriculum, Figure, Level

WALTZ = values.Dance("waltz", beats_per_bar=3, levels=(Level("Beginners", 1), Level("Improvers")))


BOX = Figure("box step", "Beginners", 12, ticks=72)


TURN = Figure("natural turn", "Improvers", 20, ticks=72, needs=(("box step", False),))


def waltz(*figures, **changes):
    return Curriculum((replace(WALTZ, figures=figures, **changes),))
