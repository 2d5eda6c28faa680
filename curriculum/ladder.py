"""The ladder of a dance's levels."""

from __future__ import annotations

from django.db import transaction
from django.db.models import Max

from curriculum.models import Dance, Level


@transaction.atomic
def add_level(*, dance: Dance, name: str, most_new: int) -> Level:
    """A new level at the top of the ladder. The dance is locked, or two new levels could want one rung."""
    Dance.objects.select_for_update().get(pk=dance.pk)
    highest = dance.levels.aggregate(highest=Max("rank"))["highest"] or 0
    level = Level(dance=dance, name=" ".join(name.split()), most_new=most_new, rank=highest + 1)
    level.full_clean()
    level.save()
    return level
