"""What somebody has said about photographs and video of them."""

from __future__ import annotations

from django.db import models

from school.models.people import Person


class PhotoWord(models.Model):
    """A yes or a no, dated; of all that somebody said the last counts. Whoever is under 18 may say no, and
    their guardian says yes."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="photo_words")
    agrees = models.BooleanField()
    said_on = models.DateField()
    by_guardian = models.BooleanField("said by the guardian", default=False)
    entered_by = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="photo_words_entered"
    )

    class Meta:
        ordering = ["person", "pk"]

    def __str__(self) -> str:
        return f"{self.person_id}: {'yes' if self.agrees else 'no'}"
