"""Writing what a student keeps for themselves about a figure."""

from __future__ import annotations

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F

from curriculum.models import Figure, FloorRole
from lessons.actions.errors import Overtaken
from lessons.models import Mark, OwnMark, OwnNote
from school import clock
from school.models import Person

_CHANGED_ELSEWHERE = (
    "You changed this note on another device meanwhile. Both stand below: put together what you want to keep."
)


def mark_figure(
    *, person: Person, figure: Figure, role: str, mark: str, waited: dt.timedelta = dt.timedelta()
) -> None:
    """The person's own mark in one role; an empty one takes it away. ValidationError at `role`, `mark`.

    `waited`: since they touched it. A mark that they set later, on another device, stands.
    """
    if role not in FloorRole.values:
        raise ValidationError({"role": "Choose leader or follower."})
    if mark and mark not in Mark.values:
        raise ValidationError({"mark": "Choose one of the marks."})
    marked_at = clock.now() - waited
    own = {"person": person, "figure": figure, "role": role}
    if OwnMark.objects.filter(**own, marked_at__gt=marked_at).exists():
        return
    if mark:
        OwnMark.objects.update_or_create(**own, defaults={"mark": mark, "marked_at": marked_at})
    else:
        OwnMark.objects.filter(**own).delete()


def write_note(*, person: Person, figure: Figure, text: str, version: int) -> None:
    """The person's own note, whole; an empty one takes it away. `version`: of the note they had before them,
    0 for none. Raises Overtaken where it has changed since, unless to the same: a device whose answer was
    lost sends again."""
    try:
        with transaction.atomic():
            if _write(person, figure, text, version):
                return
    except IntegrityError:
        pass
    if text == _standing(person, figure):
        return
    raise Overtaken(_CHANGED_ELSEWHERE)


def _standing(person: Person, figure: Figure) -> str:
    note = OwnNote.objects.filter(person=person, figure=figure).first()
    return note.text if note else ""


def _write(person: Person, figure: Figure, text: str, version: int) -> bool:
    """Whether the note before the writer was the one that stands."""
    own = OwnNote.objects.filter(person=person, figure=figure)
    if not version:
        if own.exists():
            return False
        if text:
            OwnNote.objects.create(person=person, figure=figure, text=text, written_at=clock.now())
        return True
    seen = own.filter(version=version)
    if not text:
        return bool(seen.delete()[0])
    return bool(seen.update(text=text, version=F("version") + 1, written_at=clock.now()))
