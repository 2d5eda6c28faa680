"""Writes about people that are more than one form's save."""

from __future__ import annotations

import re
import secrets
import unicodedata
from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.db import transaction

from school import clock
from school.models import Invitation, Person, PersonRole, PhotoWord, Role, School
from school.removal import remove_unused

# Without letters and digits that are mistaken for each other when read off a slip of paper.
CLEAR_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"


def make_one_time_password() -> str:
    """Twelve random letters and digits in three groups, about 59 bits; meant to be typed once."""
    return grouped("".join(secrets.choice(CLEAR_LETTERS) for _ in range(12)))


def grouped(letters: str) -> str:
    """In groups of four, as it is printed: abcd-efgh-jkmn."""
    return "-".join(letters[start : start + 4] for start in range(0, len(letters), 4))


def suggest_username(name: str) -> str:
    """A free name to sign in with, made of the person's name: “Edda Hartigan” gives edda.hartigan."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    wanted = ".".join(re.findall(r"[a-z0-9]+", plain))[:140] or "person"
    taken = {
        username.lower()
        for username in Person.objects.filter(username__istartswith=wanted).values_list("username", flat=True)
    }
    if wanted not in taken:
        return wanted
    return next(
        f"{wanted}{number}" for number in range(2, len(taken) + 3) if f"{wanted}{number}" not in taken
    )


@transaction.atomic
def add_person(*, person: Person, roles: Iterable[str]) -> str:
    """Save a new person with their roles; gives the one-time password, which is kept nowhere."""
    password = make_one_time_password()
    person.username = person.username or suggest_username(person.shown_name)
    person.set_password(password)
    person.password_is_one_time = True
    person.save()
    PersonRole.objects.bulk_create(PersonRole(person=person, role=role) for role in dict.fromkeys(roles))
    return password


@transaction.atomic
def give_one_time_password(*, person: Person) -> str:
    """A new password to sign in with once; the old one stops working at once, on every device, and so does
    an invitation that was not taken up."""
    person.invitations.all().withdraw(clock.now())
    password = make_one_time_password()
    person.set_password(password)
    person.password_is_one_time = True
    person.save(update_fields=["password", "password_is_one_time"])
    return password


@transaction.atomic
def set_roles(*, person: Person, roles: Iterable[str], is_active: bool) -> None:
    """Change what a person does here, or note that they left.

    Raises ValidationError, at `roles`, where the school would be left without a director who can sign in. The
    directors' rows are locked first, or two directors could each take the role from the other.
    """
    wanted = frozenset(roles)
    directors = list(PersonRole.objects.select_for_update().filter(role=Role.DIRECTOR).order_by("pk"))
    others = [row.person_id for row in directors if row.person_id != person.pk]
    stays_director = Role.DIRECTOR in wanted and is_active
    was_director = any(row.person_id == person.pk for row in directors)
    if (
        was_director
        and not stays_director
        and not Person.objects.filter(pk__in=others, is_active=True).exists()
    ):
        raise ValidationError(
            {"roles": "This is the school's only director. Make somebody else a director first."}
        )
    PersonRole.objects.filter(person=person).exclude(role__in=wanted).delete()
    held = set(PersonRole.objects.filter(person=person).values_list("role", flat=True))
    PersonRole.objects.bulk_create(PersonRole(person=person, role=role) for role in sorted(wanted - held))
    person.is_active = is_active
    person.save(update_fields=["is_active"])


def remove_person(*, person: Person, by: Person) -> None:
    """Delete somebody who was added by mistake. ValidationError where anything hangs on them: whoever danced
    or taught stays in the records, and leaves by losing the tick “is at the school”."""
    if person.pk == by.pk:
        raise ValidationError("You cannot delete yourself.")
    remove_unused(person, own=[PersonRole, Invitation, PhotoWord])


@transaction.atomic
def first_director(*, username: str, name: str, school_name: str, time_zone: str) -> str:
    """Begin a school: its row, and one director; gives the director's one-time password.

    Raises ValidationError where somebody is there already, or a name or zone cannot be used.
    """
    if Person.objects.exists():
        raise ValidationError("This school has people already. A director adds more on the page People.")
    school = School.current() or School(name=school_name, time_zone=time_zone)
    school.full_clean(exclude=["id"])
    school.save()
    person = Person(username=username, name=name)
    person.full_clean(exclude=["password"])
    return add_person(person=person, roles=[Role.DIRECTOR])
