"""Kinds of lesson: an ordinary one, or one with a shape of its own."""

from __future__ import annotations

from django.db import models


class LessonKind(models.TextChoices):
    ORDINARY = "ordinary", "ordinary"
    REVISION = "revision", "revision"
    GUEST = "guest", "guest"
    PRACTICE = "practice", "practice evening"
    WORKSHOP = "workshop", "workshop"
    SHOWCASE = "showcase", "showcase"
    TEST = "test", "test"
