"""Two who are not to be paired, written down and taken back. Why is never asked."""

from __future__ import annotations

import logging

from lessons.models import NotPaired
from school.models import Person

logger = logging.getLogger(__name__)


def keep_apart(*, one: Person, other: Person, by: Person) -> NotPaired:
    """The two are not paired from now on; saying it twice changes nothing."""
    first, second = sorted((one, other), key=lambda person: person.pk)
    row, _ = NotPaired.objects.get_or_create(person=first, other=second)
    logger.info("%s wrote down two who are not to be paired", by.pk)
    return row
