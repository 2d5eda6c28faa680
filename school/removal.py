"""Deleting what was made by mistake, and only where nothing hangs on it."""

from __future__ import annotations

from collections.abc import Collection

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Model, ProtectedError, QuerySet, RestrictedError
from django.db.models.deletion import Collector


@transaction.atomic
def remove_unused(row: Model, *, own: Collection[type[Model]] = ()) -> None:
    """Delete `row` with its `own` parts. ValidationError where anything else would go or lose sight of it.

    `own`: models whose rows are nothing without it, like a person's roles. What hangs on it is asked of the
    database's own references, so that a new kind of record is never forgotten here.
    """
    row = type(row)._default_manager.select_for_update().get(pk=row.pk)
    hanging = _hanging_on(row, frozenset(own))
    if hanging:
        raise ValidationError(f"{row} cannot be deleted: {', '.join(sorted(hanging))} would be lost with it.")
    row.delete()


def _hanging_on(row: Model, own: frozenset[type[Model]]) -> set[str]:
    """Kinds of rows, in the plural, that refer to `row` or to its own parts."""
    collector = Collector(using=row._state.db or "default")
    try:
        collector.collect([row])
    except (ProtectedError, RestrictedError) as refused:
        rows = getattr(refused, "protected_objects", None) or getattr(refused, "restricted_objects", ())
        return {str(one._meta.verbose_name_plural) for one in rows}
    found = {model for model in collector.data if model is not type(row)}
    found |= {rows.model for rows in collector.fast_deletes if rows.exists()}
    for referring in collector.field_updates.values():
        found |= {rows.model for rows in referring if isinstance(rows, QuerySet) and rows.exists()}
        found |= {type(one) for rows in referring if not isinstance(rows, QuerySet) for one in rows}
    return {str(model._meta.verbose_name_plural) for model in found - own}
