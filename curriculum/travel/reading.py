"""The file into values. What makes the whole file useless is raised; every other mistake is listed."""

from __future__ import annotations

from typing import Any, Final

from curriculum import models
from curriculum.travel import values
from curriculum.travel.json_text import read_json
from curriculum.travel.node import Node
from curriculum.travel.values import Mistake, UnusableFile

FORMAT: Final = "freefoot-curriculum"
VERSION: Final = 1
MOST_BYTES: Final = 20 * 1024 * 1024
TOO_LARGE: Final = "The file is larger than 20 MB. A curriculum is far smaller: is it the right file?"
# Sums of lengths and turns stay numbers a database can hold.
MOST_TICKS: Final = 400 * 12
_NOT_OURS: Final = "This is JSON, but not a curriculum file: it does not begin with “freefoot-curriculum”."


def read_file(data: bytes) -> tuple[values.Curriculum, tuple[Mistake, ...]]:
    """The curriculum in a file, and every mistake in it. Raises UnusableFile, with one sentence, for a file
    that is too large, is something else, or was written by a newer version of the format."""
    if len(data) > MOST_BYTES:
        raise UnusableFile(TOO_LARGE)
    if not data.strip():
        raise UnusableFile("The file is empty.")
    raw = read_json(data)
    _refuse_other_format(raw)
    mistakes: list[Mistake] = []
    top = Node(raw, "", mistakes)
    top.get(FORMAT)
    dances = top.parts("dances", "dance", _dance)
    top.check_all_read()
    return values.Curriculum(dances), tuple(mistakes)


def _refuse_other_format(raw: Any) -> None:
    version = raw.get(FORMAT) if isinstance(raw, dict) else None
    if version is None:
        raise UnusableFile(_NOT_OURS)
    if type(version) is not int or version < 1:
        raise UnusableFile("The version of this curriculum file is not a number that a version can have.")
    if version > VERSION:
        raise UnusableFile(
            f"This curriculum file is of version {version}, which a newer Freefoot wrote; this one reads "
            f"version {VERSION}. Bring Freefoot up to date first."
        )


def _dance(node: Node) -> values.Dance:
    model = models.Dance
    name = node.name(model)
    if name:
        node.place = name
    return values.Dance(
        name=name,
        beats_per_bar=node.field(model, "beats_per_bar", 4),
        beat_unit=node.field(model, "beat_unit", 4, least=1),
        bars_per_phrase=node.field(model, "bars_per_phrase", 8, least=1),
        slowest_bars_per_minute=node.field(model, "slowest_bars_per_minute", None, least=0),
        quickest_bars_per_minute=node.field(model, "quickest_bars_per_minute", None, least=0),
        floor_use=node.field(model, "floor_use", models.FloorUse.SPOT.value),
        note=node.field(model, "note", ""),
        levels=node.parts("levels", "level", _level),
        holds=node.parts("holds", "hold", _hold),
        rhythms=node.parts("rhythms", "rhythm", _rhythm),
        figures=node.parts("figures", "figure", _figure),
        routines=node.parts("routines", "routine", _routine),
    )


def _level(node: Node) -> values.Level:
    return values.Level(name=node.name(models.Level), most_new=node.field(models.Level, "most_new", 2))


def _hold(node: Node) -> values.Hold:
    return values.Hold(
        name=node.name(models.Hold),
        key=node.name(models.Hold, "key"),
        facing=node.field(models.Hold, "facing", None, most=7),
        same_foot=node.field(models.Hold, "same_foot", False),
        turns_into=tuple(sorted(set(node.texts("turns_into", models.Hold, "name")))),
    )


def _rhythm(node: Node) -> values.Rhythm:
    return values.Rhythm(
        name=node.name(models.Rhythm),
        begins_on_beat=node.field(models.Rhythm, "begins_on_beat", 1, least=1),
        source=node.field(models.Rhythm, "source", ""),
        counts=node.parts("counts", "count", _count),
    )


def _count(node: Node) -> tuple[str, int]:
    model = models.RhythmCount
    return node.field(model, "count") or "", _ticks(node, model) or 1


def _ticks(node: Node, model: type[Any], *otherwise: None) -> int | None:
    ticks: int | None = node.field(model, "ticks", *otherwise, least=1, most=MOST_TICKS)
    return ticks


def _figure(node: Node) -> values.Figure:
    model = models.Figure
    alone = [(name, False) for name in node.texts("needs", model, "name")]
    together = [(name, True) for name in node.texts("needs_by_the_same_evening", model, "name")]
    figure = values.Figure(
        name=node.name(model),
        level=node.name(models.Level, key="level"),
        minutes_to_introduce=node.field(model, "minutes_to_introduce") or 1,
        kind=node.field(model, "kind", models.FigureKind.FIGURE.value),
        ticks=_ticks(node, model, None),
        minutes_to_review=node.field(model, "minutes_to_review", 0),
        in_a_row=node.field(model, "in_a_row", 1),
        lead=node.field(model, "lead", ""),
        response=node.field(model, "response", ""),
        notes=node.field(model, "notes", ""),
        other_names=node.texts("other_names", model, "name"),
        needs=tuple(sorted(dict([*together, *alone]).items())),
        extension=node.reference(model, "extension"),
        easier_form=node.reference(model, "easier_form"),
        open_form=node.reference(model, "open_form"),
        faults=node.parts("faults", "fault", _fault),
        cautions=node.texts("cautions", models.Caution, "text"),
        charts=node.parts("charts", "chart", _chart),
        passages=node.parts("passages", "passage", _passage),
    )
    for number, passage in enumerate(figure.passages, start=1):
        if passage.chart is not None and passage.chart >= len(figure.charts):
            node.wrong(f"there is no chart {passage.chart + 1} in this figure", f"passage {number}, chart")
    return figure


def _fault(node: Node) -> tuple[str, str]:
    return node.field(models.Fault, "fault") or "", node.field(models.Fault, "remedy") or ""


def _chart(node: Node) -> values.Chart:
    return values.Chart(
        name=node.field(models.StepChart, "name", ""),
        note=node.field(models.StepChart, "note", ""),
        leader=node.parts("leader", "leader’s step", _step),
        follower=node.parts("follower", "follower’s step", _step),
    )


def _step(node: Node) -> values.Step:
    model = models.ChartStep
    return values.Step(
        count=node.field(model, "count") or "",
        ticks=_ticks(node, model) or 1,
        action=node.field(model, "action") or "",
        foot=node.field(model, "foot", ""),
        direction=node.field(model, "direction", ""),
        turn=node.field(model, "turn", 0, least=-80, most=80),
        hold=node.reference(models.Hold, "hold"),
        cue=node.field(model, "cue", ""),
    )


def _passage(node: Node) -> values.Passage:
    start, end = node.part("from"), node.part("to")
    passage = values.Passage(
        label=node.field(models.Passage, "label", ""),
        ticks=_ticks(node, models.Passage, None),
        give=node.field(models.Passage, "give", 0, most=4),
        chart=_place_in_list(node, "chart"),
        **_stance(start, "entry"),
        **_stance(end, "exit"),
    )
    start.check_all_read()
    end.check_all_read()
    return passage


def _stance(node: Node, side: str) -> dict[str, Any]:
    model = models.Passage
    return {
        f"{side}_hold": node.reference(models.Hold, "hold"),
        f"{side}_foot": node.field(model, f"{side}_foot", "", key="foot"),
        f"{side}_place": node.field(model, f"{side}_place", None, key="place", most=7),
    }


def _place_in_list(node: Node, key: str) -> int | None:
    """A place counted from 1 in the file, from 0 here."""
    number = node.get(key)
    if number is not None and (type(number) is not int or number < 1):
        node.wrong("a whole number from 1 belongs here", key)
        return None
    return None if number is None else number - 1


def _routine(node: Node) -> values.Routine:
    before: Node | None = node.part("continues") if "continues" in node.raw else None
    continues = None
    if before is not None:
        continues = (before.name(models.Level, key="level"), before.name(models.Routine))
        before.check_all_read()
    return values.Routine(
        name=node.name(models.Routine),
        level=node.name(models.Level, key="level"),
        note=node.field(models.Routine, "note", ""),
        continues=continues,
        dances=node.parts("dances", "place", _danced),
    )


def _danced(node: Node) -> values.Danced | None:
    if node.get("corner") is True:
        return None
    return values.Danced(node.name(models.Figure, key="figure"), _place_in_list(node, "passage") or 0)
