"""How an empty school begins: whoever reads the code that the server printed becomes its director."""

from __future__ import annotations

import sys
from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.db import DatabaseError, transaction

from school.actions import grouped, make_one_time_password
from school.models import FirstStartCode, Person, PersonRole, Role, School
from school.secrets_shown_once import hashed, is_secret_of

NOT_THE_CODE = "This is not the code. The server prints one when it starts; the newest of each server counts."
BEGUN = "This school has begun already. Sign in, or ask a director to invite you."


def announce(say=sys.stderr.write) -> None:
    """Print a new code where nobody is there yet. Called when a server starts; each of several has its own.
    Says nothing where there is no database yet: migrations come first."""
    try:
        code = new_code()
    except DatabaseError:
        return
    if code:
        say(f"\nThis school is empty. Open /begin/ and give the code {code} to become its director.\n\n")


def new_code() -> str | None:
    """A code that begins the school, once; None where somebody is there."""
    if Person.objects.exists():
        return None
    code = make_one_time_password()
    FirstStartCode.objects.create(secret_hash=hashed(code))
    return code


def is_code(code: str) -> bool:
    """Whether a server printed it: its letters and digits in their order, whatever stands between them."""
    given = grouped("".join(letter for letter in code.lower() if letter.isalnum()))
    kept: Iterable[str] = FirstStartCode.objects.values_list("secret_hash", flat=True)
    return any(is_secret_of(one, given) for one in kept)


@transaction.atomic
def begin(*, code: str, school: School, person: Person, password: str) -> Person:
    """Save the school and its first director. ValidationError where the code is none, or somebody was
    quicker; the codes are used up with it."""
    # Taken first: of two with the same code the second waits here and finds somebody there.
    codes = list(FirstStartCode.objects.select_for_update().order_by("pk"))
    if Person.objects.exists():
        raise ValidationError(BEGUN)
    if not codes or not is_code(code):
        raise ValidationError({"code": NOT_THE_CODE})
    school.save()
    person.set_password(password)
    person.save()
    PersonRole.objects.bulk_create(
        PersonRole(person=person, role=role) for role in (Role.DIRECTOR, Role.INSTRUCTOR)
    )
    FirstStartCode.objects.all().delete()
    return person
