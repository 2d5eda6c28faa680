"""Finding people by a part of their name."""

from __future__ import annotations

import re

from django.db.models import Q, QuerySet

from school.models import Person, Role


def find_people(words: str, role: str = "") -> QuerySet[Person]:
    """People whose name or sign-in name holds every one of `words`, whatever their case, in name order.

    Sought by iregex and not by icontains, for SQLite's LIKE folds ASCII letters only and would not
    find Örjan by “örj”. Roles are fetched along: two queries for any number of people.
    """
    people = Person.objects.prefetch_related("personrole_set")
    for word in words.split():
        pattern = re.escape(word)
        people = people.filter(Q(name__iregex=pattern) | Q(username__iregex=pattern))
    return people.with_role(role) if role in Role.values else people


def people_named(name: str) -> QuerySet[Person]:
    """People of exactly this name, whatever its case."""
    return Person.objects.filter(name__iregex=f"^{re.escape(' '.join(name.split()))}$").order_by("pk")
