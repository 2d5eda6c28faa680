"""Finding people by a part of their name, mistyped too."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import Q, QuerySet

from school.clock import now
from school.models import Invitation, Person, PersonRole, Role
from school.plain_letters import NEAR, likeness, plain_letters

MOST_NEAR: Final = 8
# What a list shows of somebody, in the order in which the model has them.
COLUMNS: Final = ("id", "username", "name", "is_minor", "is_active")
_BEYOND_ASCII: Final = r"[^ -~]"
WAITING, OVER, LEFT = "waiting", "over", "left"
STATES: Final = (
    (WAITING, "invited, not here yet"),
    (OVER, "invitation is over"),
    (LEFT, "have left"),
)


@dataclass(frozen=True)
class Sought:
    """`words` of a name; of one role; in one of `STATES`; the last added first. Others are overlooked."""

    words: str = ""
    role: str = ""
    state: str = ""
    newest_first: bool = False

    @property
    def is_all(self) -> bool:
        return not (self.words or self.role or self.state)

    @property
    def is_narrowed(self) -> bool:
        """Whether anything but a name is asked for."""
        return bool(self.role or self.state or self.newest_first)

    def people(self) -> QuerySet[Person]:
        """All of the role and state, in order, whatever their names; nobody who was erased."""
        people = Person.objects.not_erased()
        if self.role in Role.values:
            people = people.filter(pk__in=PersonRole.objects.filter(role=self.role).values("person"))
        if self.state == LEFT:
            people = people.filter(is_active=False)
        elif self.state in {WAITING, OVER}:
            is_over = Q(ends_at__lte=now())
            invited = Invitation.objects.filter(used_at=None, withdrawn_at=None)
            invited = invited.filter(is_over if self.state == OVER else ~is_over)
            people = people.filter(is_active=True, pk__in=invited.values("person"))
        return people.order_by("-created_at", "-pk") if self.newest_first else people.order_by("name", "pk")


def find_people(words: str, role: str = "", *, among: QuerySet[Person] | None = None) -> list[Person]:
    """People whose name or sign-in name holds every one of `words`, whatever their case and accents, in name
    order, or in the order of `among`. One query, which brings their roles too.

    The database, whose LIKE folds ASCII letters only, or no accents, answers with whoever it may be; who of
    them it is, is found here.
    """
    people = Sought(role=role).people() if among is None else among
    asked = plain_letters(words).split()
    rows = people.filter(*map(_may_hold, asked)).values_list(*COLUMNS, "personrole__role")
    return _people(row for row in rows if _holds_all(plain_letters(f"{row[2]} {row[1]}"), asked))


def people_like(words: str, *, among: QuerySet[Person]) -> list[Person]:
    """The few with the names most like a mistyped one, the nearest first. One query."""
    asked = plain_letters(words)
    rows = among.values_list(*COLUMNS, "personrole__role") if asked else ()
    scored = [(likeness(asked, plain_letters(row[2])), row) for row in rows]
    near = sorted((one for one in scored if one[0] >= NEAR), key=lambda one: -one[0])
    return _people(row for _, row in near)[:MOST_NEAR]


def listed(people: QuerySet[Person]) -> list[Person]:
    """Those of one page of a list, with what it shows of them. Two queries."""
    rows = list(people.values_list(*COLUMNS))
    roles = PersonRole.objects.filter(person__in=[row[0] for row in rows]).values_list("person", "role")
    of_person: dict[int, list[str | None]] = {row[0]: [] for row in rows}
    for person, role in roles:
        of_person[person].append(role)
    return _people((*row, role) for row in rows for role in of_person[row[0]] or [None])


def _may_hold(word: str) -> Q:
    """True of everybody whose names hold the word in plain letters, and of some others whose names have
    letters beyond ASCII."""
    by_letters = Q(name__icontains=word) | Q(username__icontains=word)
    return by_letters | Q(name__regex=_BEYOND_ASCII) | Q(username__regex=_BEYOND_ASCII)


def _holds_all(said: str, words: Sequence[str]) -> bool:
    return all(word in said for word in words)


def _people(rows: Iterable[tuple[Any, ...]]) -> list[Person]:
    """Of rows of `COLUMNS` and a role, one for each role somebody has."""
    found: dict[tuple[Any, ...], set[str]] = {}
    for *columns, role in rows:
        found.setdefault(tuple(columns), set()).update([role] if role else [])
    people = []
    for columns, roles in found.items():
        person = Person.from_db(None, COLUMNS, columns)
        person.know_roles(roles)
        people.append(person)
    return people


def people_named(name: str) -> QuerySet[Person]:
    """People of exactly this name, whatever its case."""
    return Person.objects.filter(name__iregex=f"^{re.escape(' '.join(name.split()))}$").order_by("pk")
