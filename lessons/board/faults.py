"""One fault said once: what follows from a figure that is left out is folded into that, with the remedy."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lessons.planners.term_values import Finding
from lessons.problems import CourseProblem
from lessons.problems.wording import spoken_list

# From here on figures that stand nowhere are one fault together: nothing of the term is planned yet.
MANY = 4
# The most useful first: what a mend of an earlier one often mends too comes after it.
ORDER = (
    "unplaced", "required", "history", "pinned", "latest", "earliest", "barred", "term", "need", "together",
    "apart", "most", "room", "least", "least_minutes", "review",
)  # fmt: skip


@dataclass(frozen=True)
class Faults:
    """What is wrong, each thing once, the most useful first; `notes`: what was assumed and is not told in
    them."""

    found: tuple[Finding, ...]
    notes: tuple[str, ...]


def faults(problem: CourseProblem, findings: Sequence[Finding], standing: Iterable[str]) -> Faults:
    """`findings` as the check says them; `standing`: the figures that stand in a lesson."""
    at = set(standing)
    lost = [key for key in problem.plan_figures if key not in at and _is_asked(key, findings)]
    waiting = {key: _waiting_for(key, findings) for key in lost}
    rest = _each_review_once(finding for finding in findings if not _follows(finding, lost))
    told = {key: problem.lost[key] for key in lost if key in problem.lost}
    if len(lost) >= MANY:
        first = [_many(lost)]
        told = {}
    else:
        first = [_one(key, told.get(key, ""), waiting[key]) for key in lost]
    rest.sort(key=lambda finding: ORDER.index(finding.kind) if finding.kind in ORDER else -1)
    notes = tuple(note for note in problem.notes if note not in told.values())
    return Faults((*first, *rest), notes)


def _is_asked(key: str, findings: Sequence[Finding]) -> bool:
    """Whether the figure is missed where it stands nowhere; an optional one may stay out."""
    return any(finding.kind in {"required", "pinned"} and finding.keys == (key,) for finding in findings)


def _waiting_for(key: str, findings: Sequence[Finding]) -> list[str]:
    return [one.keys[0] for one in findings if one.kind == "need" and one.keys[1:] == (key,)]


def _follows(finding: Finding, lost: Sequence[str]) -> bool:
    """Whether the finding only repeats that a figure is left out."""
    if finding.kind in {"required", "pinned", "review", "least"}:
        return finding.keys[:1] != () and finding.keys[0] in lost
    return finding.kind == "need" and finding.keys[-1] in lost


def _each_review_once(findings: Iterable[Finding]) -> list[Finding]:
    """The first thing said of a review is enough: it is mended by setting that one Again anew."""
    kept: dict[object, Finding] = {}
    for place, finding in enumerate(findings):
        same = (finding.keys, finding.lessons[:1]) if finding.kind == "review" else place
        kept.setdefault(same, finding)
    return list(kept.values())


def _one(key: str, lost: str, waiting: list[str]) -> Finding:
    said = lost.removesuffix(": place it anew.") if lost else f"{key} must be taught this term"
    said += ", and stands in no lesson now" if lost else " and stands in no lesson"
    if waiting:
        said += f"; {spoken_list(waiting)} {'needs' if len(waiting) == 1 else 'need'} it first"
    return Finding("required", (key, *waiting), (), f"{said}.")


def _many(lost: list[str]) -> Finding:
    return Finding(
        "unplaced", tuple(lost), (), f"{len(lost)} figures stand in no lesson: {spoken_list(lost)}."
    )
