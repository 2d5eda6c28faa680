"""Where apps that know more than the school add to its pages. They register when they are made ready."""

from __future__ import annotations

from collections.abc import Callable

from django.utils.safestring import SafeString

from school.models import Person

PersonNote = Callable[[Person, Person], SafeString]
"""A person and who reads their page -> what stands under their name, or nothing. It costs a number of queries
that does not depend on how much there is."""

person_notes: list[PersonNote] = []

LeavingNote = Callable[[Person, frozenset[str]], list[str]]
"""A person and the roles they keep, none where they leave the school -> what follows once they have no
others, to be read first; or nothing."""

leaving_notes: list[LeavingNote] = []
