"""What an action may refuse with, beside Django's ValidationError for a mistake in a field."""

from __future__ import annotations

from lessons.planners.term_values import Finding
from school.errors import Overtaken

__all__ = ["Overtaken", "PlanHasBreaches"]


class PlanHasBreaches(Exception):  # noqa: N818  (a question to the director, not an error of the program)
    """The draft breaks something; publishing it asks for `even_so=True`. `findings` says what."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__(" ".join(finding.sentence for finding in findings))
        self.findings = findings
