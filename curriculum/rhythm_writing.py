"""A rhythm with its counts, written together."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from curriculum.models import Dance, Rhythm, RhythmCount
from curriculum.rhythm_form import as_typed
from school.second_writer import refuse_second


@transaction.atomic
def write_rhythm(*, dance: Dance, rhythm: Rhythm | None, data: Mapping[str, Any]) -> Rhythm:
    """A new rhythm (`rhythm` None), or that one changed, from a valid RhythmForm's data.

    Overtaken where the form began from another state of the rhythm than the one that stands.
    """
    row = rhythm or Rhythm(dance=dance)
    if rhythm:
        Dance.objects.select_for_update().get(pk=dance.pk)
        row.refresh_from_db()
        refuse_second(data["began_from"], as_typed(row))
    row.name, row.begins_on_beat, row.source = data["name"], data["begins_on_beat"], data["source"]
    row.full_clean()
    row.save()
    row.counts.all().delete()
    RhythmCount.objects.bulk_create(
        RhythmCount(rhythm=row, position=position, count=count, ticks=ticks)
        for position, (count, ticks) in enumerate(zip(data["counts"], data["lengths"], strict=True))
    )
    return row
