"""Rows that a secret opens: a link, an address, a code."""

from __future__ import annotations

from django.db import models


class OpenedBySecret(models.Model):
    """Only the SHA-256 of the secret is kept: who reads the database can open nothing. It is made and found
    again by `school.secrets_shown_once`."""

    secret_hash = models.CharField(max_length=64, unique=True, editable=False)

    class Meta:
        abstract = True
