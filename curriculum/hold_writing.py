"""A hold with its free changes, written together; and taken away where nothing uses it."""

from __future__ import annotations

import re
from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from curriculum.hold_form import as_typed
from curriculum.models import ChartStep, Dance, Figure, Hold, HoldChange, name_key
from curriculum.standard import usual_hold
from school.second_writer import refuse_second

_LONGEST_KEY = 12


@transaction.atomic
def write_hold(
    *,
    dance: Dance,
    hold: Hold | None,
    name: str,
    facing: int | None,
    same_foot: bool = False,
    turns_into: Iterable[Hold] = (),
    turned_into_from: Iterable[Hold] = (),
    began_from: str = "",
) -> Hold:
    """A new hold (`hold` None), or that one changed. The key, by which files know it, stays.

    Overtaken where the form began from another state of the hold than the one that stands.
    """
    Dance.objects.select_for_update().get(pk=dance.pk)
    if hold:
        hold.refresh_from_db()
        refuse_second(began_from, as_typed(hold))
    row = hold or Hold(dance=dance, key=_new_key(dance, name))
    row.name, row.facing, row.same_foot = name, facing, same_foot
    row.full_clean()
    row.save()
    HoldChange.objects.filter(Q(hold=row) | Q(into=row)).delete()
    HoldChange.objects.bulk_create(
        [
            *(HoldChange(hold=row, into=other) for other in turns_into),
            *(HoldChange(hold=other, into=row) for other in turned_into_from),
        ]
    )
    return row


@transaction.atomic
def add_named_hold(*, dance: Dance, name: str, facing: int | None) -> Hold:
    """A new hold of that name; one that is usual gets its usual free changes too."""
    usual = usual_hold(name)
    into, back = (usual.turns_into, usual.turned_from) if usual else ((), ())
    return write_hold(
        dance=dance,
        hold=None,
        name=name,
        facing=facing,
        same_foot=usual.same_foot if usual else False,
        turns_into=dance.holds.filter(key__in=into),
        turned_into_from=dance.holds.filter(key__in=back),
    )


@transaction.atomic
def remove_hold(hold: Hold) -> None:
    """Take away a hold that no way and no chart uses; ValidationError names figures that do."""
    Dance.objects.select_for_update().get(pk=hold.dance_id)
    if names := figures_using(hold):
        more = f" and {len(names) - 3} more" if len(names) > 3 else ""
        raise ValidationError(f"{', '.join(names[:3])}{more} use “{hold.name}”, so it stays.")
    hold.delete()


def figures_using(hold: Hold) -> list[str]:
    """Names of figures in whose ways or charts the hold stands. One query."""
    steps = ChartStep.objects.filter(hold=hold).values("chart__figure")
    ways = Q(passages__entry_hold=hold) | Q(passages__exit_hold=hold) | Q(pk__in=steps)
    return list(Figure.objects.filter(ways).in_teaching_order().distinct().values_list("name", flat=True))


def _new_key(dance: Dance, name: str) -> str:
    """The usual key where the hold is a usual one; else its first letters, and a number if they are taken."""
    usual = usual_hold(name)
    letters = usual.key if usual else _initials(name)
    taken = {name_key(word) for row in dance.holds.values_list("name", "key") for word in row}
    key, number = letters, 2
    while name_key(key) in taken:
        key, number = f"{letters}{number}", number + 1
    return key


def _initials(name: str) -> str:
    words = re.findall(r"\w+", name)
    letters = "".join(word[0] for word in words) if len(words) > 1 else name_key(name)[:2]
    return letters.upper()[: _LONGEST_KEY - 4] or "H"
