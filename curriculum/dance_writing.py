"""A standing dance changed or taken away, and the usual holds it lacks."""

from __future__ import annotations

import hashlib
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import ProtectedError, Q

from curriculum.models import Dance, FloorUse, Passage, Routine, name_key
from curriculum.standard import StandardHold, holds_for
from school.errors import Overtaken

DANCE_FIELDS = (
    "name",
    "beats_per_bar",
    "beat_unit",
    "bars_per_phrase",
    "slowest_bars_per_minute",
    "quickest_bars_per_minute",
    "floor_use",
    "note",
)


def fingerprint(dance: Dance) -> str:
    """The same as long as nobody changed the dance."""
    stands = repr([str(getattr(dance, field)) for field in DANCE_FIELDS])
    return hashlib.blake2s(stands.encode()).hexdigest()


@transaction.atomic
def change_dance(dance: Dance, *, seen: str, **fields: Any) -> Dance:
    """The dance with these fields, as it stands then.

    Overtaken where it is no longer what `seen` is the fingerprint of. ValidationError names the field.
    """
    stands = Dance.objects.select_for_update().get(pk=dance.pk)
    if fingerprint(stands) != seen:
        raise Overtaken("Somebody else changed this dance while you had it open.")
    _refuse_lost_places(stands, fields["floor_use"])
    for field, value in fields.items():
        setattr(stands, field, value)
    stands.full_clean()
    stands.save()
    return stands


@transaction.atomic
def remove_dance(dance: Dance) -> None:
    """Delete a dance without figures; ValidationError says what hangs on it."""
    stands = Dance.objects.select_for_update().get(pk=dance.pk)
    figures = stands.figures.count()
    if figures or Routine.objects.filter(level__dance=stands).exists():
        what = f"{figures} figure{'' if figures == 1 else 's'}" if figures else "a routine"
        raise ValidationError(f"{stands} has {what}. Only a dance without any can be deleted.")
    if stands.pieces.exists():
        raise ValidationError(f"Music for {stands} is on the school’s list. Take it off the list first.")
    try:
        stands.delete()
    except ProtectedError as error:
        raise ValidationError(f"A course teaches {stands}, so it stays.") from error


def missing_usual_holds(dance: Dance) -> tuple[StandardHold, ...]:
    """Holds that are usual on this dance's floor and that it does not have. One query."""
    there = {name_key(word) for row in dance.holds.values_list("name", "key") for word in row}
    return tuple(
        hold
        for hold in holds_for(dance.floor_use)
        if name_key(hold.name) not in there and name_key(hold.key) not in there
    )


def _refuse_lost_places(dance: Dance, floor_use: str) -> None:
    """On a slot a place is one of its ends, elsewhere a direction in the room: neither becomes the other."""
    if (dance.floor_use == FloorUse.SLOT) == (floor_use == FloorUse.SLOT):
        return
    named = Q(entry_place__isnull=False) | Q(exit_place__isnull=False)
    ways = Passage.objects.filter(named, figure__dance=dance).order_by("figure", "pk")
    names = list(dict.fromkeys(ways.values_list("figure__name", flat=True)))
    if names:
        more = f" and {len(names) - 3} more" if len(names) > 3 else ""
        raise ValidationError(
            {
                "floor_use": "On a slot a place is an end of the slot, elsewhere a direction in the room. "
                f"Ways of {', '.join(names[:3])}{more} name a place: take it out of them first."
            }
        )
