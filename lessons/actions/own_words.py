"""Writing what a student keeps for themselves about a figure."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F

from curriculum.models import Figure, FloorRole
from lessons.actions.errors import Overtaken
from lessons.models import Mark, OwnMark, OwnNote
from school.models import Person

_CHANGED_ELSEWHERE = (
    "You changed this note on another device meanwhile. Both stand below: put together what you want to keep."
)


def mark_figure(*, person: Person, figure: Figure, role: str, mark: str) -> None:
    """The person's own mark in one role; an empty one takes it away. ValidationError at `role`, `mark`."""
    if role not in FloorRole.values:
        raise ValidationError({"role": "Choose leader or follower."})
    if mark and mark not in Mark.values:
        raise ValidationError({"mark": "Choose one of the marks."})
    if mark:
        OwnMark.objects.update_or_create(person=person, figure=figure, role=role, defaults={"mark": mark})
    else:
        OwnMark.objects.filter(person=person, figure=figure, role=role).delete()


def write_note(*, person: Person, figure: Figure, text: str, version: int) -> None:
    """The person's own note, whole; an empty one takes it away. `version`: of the note they had before them,
    0 for none. Raises Overtaken where it has changed since."""
    try:
        with transaction.atomic():
            if _write(person, figure, text, version):
                return
    except IntegrityError:
        pass
    raise Overtaken(_CHANGED_ELSEWHERE)


def _write(person: Person, figure: Figure, text: str, version: int) -> bool:
    """Whether the note before the writer was the one that stands."""
    own = OwnNote.objects.filter(person=person, figure=figure)
    if not version:
        if own.exists():
            return False
        if text:
            OwnNote.objects.create(person=person, figure=figure, text=text)
        return True
    seen = own.filter(version=version)
    return bool(seen.update(text=text, version=F("version") + 1) if text else seen.delete()[0])
