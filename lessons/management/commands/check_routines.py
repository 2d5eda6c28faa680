"""Does every routine hold together?"""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from curriculum.models import Routine
from curriculum.problems import join_from_below, passages_of, routine_items, routine_report
from curriculum.routine_clock import level_moment
from curriculum.routine_report import routine_page
from curriculum.rules.chain import Passage, RoutineReport


class Command(BaseCommand):
    help = (
        "Check every join of every routine, and say what is worth knowing of it; ends with 1 if a join is "
        "broken. Figures of a routine's own level and those below count as taught."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--json",
            action="store_true",
            help=(
                "print one JSON list instead of sentences. Of each routine: dance, level, routine, figures; "
                "beats, bars, phrases as exact numbers; joins (status and reason of each, in order), "
                "from_below (status, or null), broken (sentences), notes (what is not taught, what is not "
                "whole), on_joins (the number of the figure come to, and what is worth knowing of that "
                "join), dead_ends (sentences)"
            ),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        routines = Routine.objects.select_related("level__dance", "continues__level__dance")
        known: dict[int, tuple[Passage, ...]] = {}
        for routine in routines:
            dance = routine.level.dance
            if dance.pk not in known:
                known[dance.pk] = passages_of(dance)
        checked = [check(routine, known[routine.level.dance_id]) for routine in routines]
        if options["json"]:
            self.stdout.write(json.dumps(checked, indent=2, ensure_ascii=False))
        else:
            for found in checked:
                self.stdout.write("\n".join(in_sentences(found)))
            self.stdout.write(summary(checked))
        if any(found["broken"] for found in checked):
            sys.exit(1)


def check(routine: Routine, known: Sequence[Passage]) -> dict[str, Any]:
    """What `--json` prints of a routine. known: every passage of its dance."""
    page = routine_page(routine, level_moment(routine), known=known)
    report = routine_report(routine, taught=page.moment.known)
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
        "notes": list(dict.fromkeys(one.sentence for one in report.findings if one.kind != "broken")),
        "on_joins": [{"figure": note.number, "sentence": note.sentence} for note in page.notes],
        "dead_ends": list(page.dead_ends),
    }


def in_sentences(found: dict[str, Any]) -> list[str]:
    state = "does not hold together" if found["broken"] else "holds together"
    head = f"{found['dance']}, {found['level']}, {found['routine']}: {state}, {found['bars']} bars."
    on_joins = [f"Into {note['figure']}: {note['sentence']}" for note in found["on_joins"]]
    told = (*found["broken"], *found["notes"], *on_joins, *found["dead_ends"])
    return [head, *(f"  {sentence}" for sentence in told)]


def summary(checked: list[dict[str, Any]]) -> str:
    if not checked:
        return "There is no routine yet."
    broken = sum(bool(found["broken"]) for found in checked)
    routines = "1 routine" if len(checked) == 1 else f"{len(checked)} routines"
    return f"{routines} checked, {broken} with a broken join."


def _joins(report: RoutineReport) -> list[dict[str, str]]:
    return [{"status": join.status, "reason": join.reason} for join in report.joins]
