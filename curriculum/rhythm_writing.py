"""A rhythm with its counts, written together."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from curriculum.models import Dance, Rhythm, RhythmCount


@transaction.atomic
def write_rhythm(*, dance: Dance, rhythm: Rhythm | None, data: Mapping[str, Any]) -> Rhythm:
    """A new rhythm (`rhythm` None), or that one changed, from a valid RhythmForm's data."""
    row = rhythm or Rhythm(dance=dance)
    row.name, row.begins_on_beat, row.source = data["name"], data["begins_on_beat"], data["source"]
    row.full_clean()
    row.save()
    row.counts.all().delete()
    RhythmCount.objects.bulk_create(
        RhythmCount(rhythm=row, position=position, count=count, ticks=ticks)
        for position, (count, ticks) in enumerate(zip(data["counts"], data["lengths"], strict=True))
    )
    return row
