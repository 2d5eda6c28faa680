"""A small waltz and a routine of it. A test that needs another says so."""

import pytest
from django.urls import reverse

from tests.factories import (
    DanceFactory,
    FigureFactory,
    HoldFactory,
    LevelFactory,
    PassageFactory,
    RoutineFactory,
)


@pytest.fixture
def waltz(school):
    return DanceFactory(name="waltz", beats_per_bar=3, floor_use="travels")


@pytest.fixture
def level(waltz):
    return LevelFactory(dance=waltz, rank=1, name="Beginners")


@pytest.fixture
def improvers(waltz):
    return LevelFactory(dance=waltz, rank=2, name="Improvers")


@pytest.fixture
def closed(waltz):
    return HoldFactory(dance=waltz, key="CL", name="closed")


@pytest.fixture
def promenade(waltz):
    return HoldFactory(dance=waltz, key="PR", name="promenade")


@pytest.fixture
def ways(level, improvers, closed, promenade):
    """Passages of a small waltz, by figure; in closed hold where nothing else is said."""

    def way(name, on=level, **stances):
        figure = FigureFactory(level=on, name=name, ticks=36)
        return PassageFactory(figure=figure, **({"entry_hold": closed, "exit_hold": closed} | stances))

    return {
        "change": way("change"),
        "whisk": way("whisk", exit_hold=promenade),
        "chasse": way("chasse", entry_hold=promenade),
        "wing": way("wing", on=improvers, entry_hold=promenade),
    }


@pytest.fixture
def routine(level, ways):
    return RoutineFactory(
        level=level, name="the side", dances=[ways["change"], ways["whisk"], ways["chasse"]]
    )


@pytest.fixture
def send(as_director, routine):
    """send(do, at=…, …) posts a change by the version that stands and gives the answer, followed."""

    def post(do, *, version=None, **fields):
        routine.refresh_from_db()
        data = {"do": do, "version": routine.version if version is None else version} | fields
        return as_director.post(reverse("curriculum:routine-change", args=[routine.pk]), data, follow=True)

    return post
