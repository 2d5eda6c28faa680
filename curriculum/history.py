"""The history of figures: who changed what, and when. Every action that changes figures writes it here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager

from django.db.models import F, Max

from curriculum.models import Figure, FigureVersion
from curriculum.snapshot import snapshots_of
from school.clock import now
from school.errors import Overtaken
from school.models import Person

_BATCH = 200


@contextmanager
def changing(*figures: int, by: Person | None = None) -> Iterator[None]:
    """Whatever is changed inside goes into the history of these figures (by key) as their version afterwards.

    A figure whose history has not begun is kept first as it stood. One inside another writes one version:
    the outer one's word counts. Belongs inside the transaction that changes the figures. The number of
    queries does not depend on the number of figures.
    """
    _begin(figures)
    yield
    keep(figures, by=by)


def keep(figures: Iterable[int], *, by: Person | None) -> None:
    """Write these figures into their histories as they stand, over what stands there for this version."""
    figures = tuple(figures)
    versions = dict(Figure.objects.filter(pk__in=figures).values_list("pk", "version"))
    at = now()
    rows = [
        FigureVersion(figure_id=figure, version=versions[figure], by=by, at=at, snapshot=snapshot)
        for figure, snapshot in snapshots_of(figures).items()
    ]
    FigureVersion.objects.bulk_create(
        rows,
        batch_size=_BATCH,
        update_conflicts=True,
        unique_fields=["figure", "version"],
        update_fields=["by", "at", "snapshot"],
    )


def take_turn(figure: Figure, version: int) -> None:
    """Make the figure's version one higher, or raise Overtaken where it is no longer `version`."""
    if not Figure.objects.filter(pk=figure.pk, version=version).update(version=F("version") + 1):
        raise Overtaken(
            f"Somebody changed {figure.name} while you had it open. Your change was not saved: "
            "look at the figure as it stands now, then change it again."
        )
    figure.version = version + 1


def count_up(figure: Figure) -> None:
    """Make the figure's version one higher, whatever it is: for a change that overwrites nobody's words."""
    Figure.objects.filter(pk=figure.pk).update(version=F("version") + 1)
    figure.refresh_from_db(fields=["version"])


def _begin(figures: tuple[int, ...]) -> None:
    """Keep figures as they stand where the newest version kept is not the one that stands (or none is)."""
    kept = dict(
        FigureVersion.objects.filter(figure__in=figures)
        .order_by()
        .values_list("figure")
        .annotate(newest=Max("version"))
    )
    stand = dict(Figure.objects.filter(pk__in=figures).values_list("pk", "version"))
    missing = [figure for figure, version in stand.items() if kept.get(figure) != version]
    if missing:
        keep(missing, by=None)
