"""Does every routine hold together?"""

from __future__ import annotations

import json
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from curriculum.models import Figure, Routine
from curriculum.problems import join_from_below, routine_items, routine_report
from curriculum.rules.chain import Passage, RoutineReport


class Command(BaseCommand):
    help = "Check every join of every routine; ends with 1 if one is broken."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--json", action="store_true", help="print one JSON list instead of sentences")

    def handle(self, *args: Any, **options: Any) -> None:
        routines = Routine.objects.select_related("level__dance", "continues__level__dance")
        checked = [check(routine) for routine in routines]
        if options["json"]:
            self.stdout.write(json.dumps(checked, indent=2, ensure_ascii=False))
        else:
            for found in checked:
                self.stdout.write("\n".join(in_sentences(found)))
            self.stdout.write(summary(checked))
        if any(found["broken"] for found in checked):
            sys.exit(1)


def check(routine: Routine) -> dict[str, Any]:
    """What `--json` prints of a routine. Figures of its own level and those below count as taught."""
    taught = Figure.objects.filter(dance=routine.level.dance, level__rank__lte=routine.level.rank)
    report = routine_report(routine, taught=frozenset(taught.values_list("name", flat=True)))
    from_below = join_from_below(routine)
    broken = [finding.sentence for finding in report.findings if finding.kind == "broken"]
    if from_below is not None and from_below.status == "broken":
        broken.insert(0, f"It does not go on from {routine.continues}: {from_below.reason}.")
    return {
        "dance": routine.level.dance.name,
        "level": routine.level.name,
        "routine": routine.name,
        "figures": [item.figure for item in routine_items(routine) if isinstance(item, Passage)],
        "beats": str(report.beats),
        "bars": str(report.bars),
        "phrases": str(report.phrases),
        "joins": _joins(report),
        "from_below": None if from_below is None else from_below.status,
        "broken": broken,
        "notes": [finding.sentence for finding in report.findings if finding.kind != "broken"],
    }


def in_sentences(found: dict[str, Any]) -> list[str]:
    state = "does not hold together" if found["broken"] else "holds together"
    head = f"{found['dance']}, {found['level']}, {found['routine']}: {state}, {found['bars']} bars."
    return [head, *(f"  {sentence}" for sentence in (*found["broken"], *found["notes"]))]


def summary(checked: list[dict[str, Any]]) -> str:
    if not checked:
        return "There is no routine yet."
    broken = sum(bool(found["broken"]) for found in checked)
    routines = "1 routine" if len(checked) == 1 else f"{len(checked)} routines"
    return f"{routines} checked, {broken} with a broken join."


def _joins(report: RoutineReport) -> list[dict[str, str]]:
    return [{"status": join.status, "reason": join.reason} for join in report.joins]
