"""Secrets that open something by themselves: shown once, kept as a hash, compared in constant time.

They have 256 random bits: nobody finds one by trying, however fast they try, so guesses are neither counted
nor slowed down, and a plain hash is enough, for there is no weak secret to protect by a slow one.
"""

from __future__ import annotations

import hashlib
import secrets

SECRET_BYTES = 32


def new_secret() -> str:
    """For an address: 43 letters, digits, - and _."""
    return secrets.token_urlsafe(SECRET_BYTES)


def hashed(secret: str) -> str:
    """What is kept of it."""
    return hashlib.sha256(secret.encode()).hexdigest()


def is_secret_of(kept: str, secret: str) -> bool:
    """Whether `kept` is the hash of `secret`, in a time that says nothing about either."""
    return secrets.compare_digest(kept, hashed(secret))
