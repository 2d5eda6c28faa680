"""Consent to photographs and video: said, and read."""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Iterable
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from school import clock
from school.models import Person, PhotoWord
from school.rules.photographs import Stand, Word, stand

logger = logging.getLogger(__name__)


@dataclass(frozen=True)
class Photographs:
    """What somebody's last word on photographs comes to; `word`: none where nothing was said."""

    stand: Stand
    word: PhotoWord | None


def say(*, person: Person, agrees: bool, by: Person) -> PhotoWord:
    """Keep what the person said, or their guardian did. Written by themselves, or by a director who was told.

    ValidationError for a yes that somebody under 18 gives for themselves.
    """
    by_guardian = person.is_minor and by.pk != person.pk
    if agrees and person.is_minor and not by_guardian:
        raise ValidationError("A yes is your guardian’s to give: they tell the school. A no is yours.")
    word = PhotoWord.objects.create(
        person=person, agrees=agrees, said_on=clock.today(), by_guardian=by_guardian, entered_by=by
    )
    logger.info("%s noted what %s says of photographs", by.pk, person.pk)
    return word


def photographs_of(people: Iterable[Person], *, since: dt.date | None = None) -> dict[int, Photographs]:
    """Person (pk) -> what they say. since: an earlier yes is asked for again. One query, or none."""
    wanted = {person.pk: person for person in people}
    rows = PhotoWord.objects.filter(person__in=wanted).select_related("entered_by").order_by("pk")
    last = {row.person_id: row for row in rows} if wanted else {}
    return {pk: as_it_stands(person, last.get(pk), since) for pk, person in wanted.items()}


def photographs_note(person: Person, reader: Person) -> SafeString:
    """For a person's page, read by the staff. One query."""
    context = {"said": photographs_of([person])[person.pk], "person": person, "user": reader}
    return render_to_string("school/_photographs.html", context)


def as_it_stands(person: Person, word: PhotoWord | None, since: dt.date | None) -> Photographs:
    """What a last word comes to where an earlier yes than `since` is asked for again. No query."""
    said = Word(word.agrees, word.said_on, word.by_guardian) if word else None
    return Photographs(stand(said, is_minor=person.is_minor, since=since), word)
