"""Secrets that open something by themselves: shown once, kept as a hash, compared in constant time.

They have 256 random bits: nobody finds one by trying, however fast they try, so guesses are neither counted
nor slowed down, and a plain hash is enough, for there is no weak secret to protect by a slow one.
"""

from __future__ import annotations

import hashlib
import secrets
from typing import TypeVar

from django.db.models import QuerySet

from school.models import OpenedBySecret

Opened = TypeVar("Opened", bound=OpenedBySecret)

SECRET_BYTES = 32


def new_secret() -> str:
    """For an address: 43 letters, digits, - and _."""
    return secrets.token_urlsafe(SECRET_BYTES)


def hashed(secret: str) -> str:
    """What is kept of it."""
    return hashlib.sha256(secret.encode()).hexdigest()


def opened_by(rows: QuerySet[Opened], secret: str) -> Opened | None:
    """The one of these rows that `secret` opens, or None. One query.

    It is looked up by its hash, which tells who measures the time nothing about the secret; the hashes are
    then compared in constant time all the same.
    """
    found = rows.filter(secret_hash=hashed(secret)).first()
    return found if found is not None and is_secret_of(found.secret_hash, secret) else None


def is_secret_of(kept: str, secret: str) -> bool:
    """Whether `kept` is the hash of `secret`, in a time that says nothing about either."""
    return secrets.compare_digest(kept, hashed(secret))
