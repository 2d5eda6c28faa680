"""How somebody comes to sign in: by an invitation, and the school's first director by a code."""

from __future__ import annotations

import datetime as dt

from django.db import models
from django.db.models import Q

from school.models.people import Person
from school.models.secrets import OpenedBySecret

DAYS_OPEN = 14
"""An invitation handed over on paper is taken up by the lesson after next, or asked for again."""


class InvitationQuerySet(models.QuerySet["Invitation"]):
    def waiting(self, moment: dt.datetime) -> InvitationQuerySet:
        """Those that can be taken up at `moment`."""
        return self.filter(used_at=None, withdrawn_at=None, ends_at__gt=moment, person__is_active=True)

    def withdraw(self, moment: dt.datetime) -> int:
        """What was not taken up opens nothing from now on; gives how many those were."""
        return self.filter(used_at=None, withdrawn_at=None).update(withdrawn_at=moment)


class Invitation(OpenedBySecret):
    """A link by which one person chooses the name and password they sign in with."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="invitations")
    made_by = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="invitations_made"
    )
    made_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    objects = InvitationQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["person"],
                condition=Q(used_at=None, withdrawn_at=None),
                name="one_open_invitation_a_person",
            ),
        ]

    def __str__(self) -> str:
        return f"invitation of {self.person_id}, made {self.made_at:%Y-%m-%d}"

    @property
    def is_open(self) -> bool:
        """Neither taken up nor withdrawn; its time may be over all the same."""
        return self.used_at is None and self.withdrawn_at is None


class FirstStartCode(OpenedBySecret):
    """What a server of an empty school printed at its start: whoever can read it there begins the school."""

    made_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return f"code printed {self.made_at:%Y-%m-%d %H:%M}"
