"""A waltz with its rhythms, a whisk to be charted, and a chart of it."""

import pytest

from curriculum.models import Hold, Rhythm, RhythmCount, StepChart
from tests.curriculum.charts.typed import WHISK, open_new, typed
from tests.factories import DanceFactory, FigureFactory, LevelFactory, PassageFactory


@pytest.fixture
def waltz(school):
    dance = DanceFactory(name="waltz", beats_per_bar=3, floor_use="travels")
    for key, name, facing in (("CL", "closed", 4), ("PR", "promenade", 6), ("SH", "shadow", 0)):
        Hold.objects.create(dance=dance, key=key, name=name, facing=facing, same_foot=key == "SH")
    for name, counts in (("waltz", "1 2 3"), ("second bar", "4 5 6")):
        rhythm = Rhythm.objects.create(dance=dance, name=name)
        for position, count in enumerate(counts.split()):
            RhythmCount.objects.create(rhythm=rhythm, position=position, count=count, ticks=12)
    return dance


@pytest.fixture
def whisk(waltz):
    return FigureFactory(level=LevelFactory(dance=waltz, rank=1), name="whisk", ticks=36)


@pytest.fixture
def way(whisk, waltz):
    """Begins closed on the leader's left foot, facing diagonal to wall; ends in promenade."""
    closed, promenade = waltz.holds.get(key="CL"), waltz.holds.get(key="PR")
    return PassageFactory(
        figure=whisk, position=0, entry_hold=closed, entry_foot="L", entry_place=1, exit_hold=promenade
    )


@pytest.fixture
def chart(as_director, whisk, way):
    open_new(as_director, whisk, **typed(*WHISK, name="whole", passages=[way.pk]))
    return StepChart.objects.get()
