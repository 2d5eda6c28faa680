"""A dance's data files made into rows: the dance, its figures, their charts and passages, its routines."""

from __future__ import annotations

from dataclasses import dataclass, field

from curriculum.models import (
    Caution,
    ChartStep,
    Dance,
    Fault,
    Figure,
    FigureKind,
    FigureName,
    FloorRole,
    Hold,
    HoldChange,
    Level,
    Passage,
    Piece,
    Prerequisite,
    Rhythm,
    RhythmCount,
    Routine,
    RoutineItem,
    StepChart,
    name_key,
)
from curriculum.rules.music_fit import read_length
from curriculum.snapshot import FORMS
from lessons.demo.read import TICKS_PER_BEAT, Row, look_up, read, stance_of, step_of

GAP = 10
"""Figures and routine items are numbered with gaps, so that one can be put between two others."""

CORNER = "corner"


@dataclass
class DanceRows:
    """The rows of one dance, under the names the data files use."""

    dance: Dance
    levels: dict[int, Level] = field(default_factory=dict)
    holds: dict[str, Hold] = field(default_factory=dict)
    figures: dict[str, Figure] = field(default_factory=dict)
    passages: dict[str, Passage] = field(default_factory=dict)
    routines: dict[str, Routine] = field(default_factory=dict)

    def figure(self, name: str) -> Figure:
        return look_up(self.figures, name, f"{self.dance.name} figure")


def load_dance(file_name: str) -> DanceRows:
    """Write everything `file_name`.toml and charts_`file_name`.toml say. A fixed number of queries."""
    data = read(file_name)
    rows = DanceRows(Dance.objects.create(**data["dance"]))
    _load_rhythms(rows, data["rhythm"])
    _load_ladder(rows, data["level"])
    _load_holds(rows, data["hold"])
    _load_figures(rows, data["figure"])
    _load_teaching_words(rows, data["figure"])
    _load_prerequisites(rows, data["figure"])
    charts = _load_charts(rows, read(f"charts_{file_name}")["chart"])
    _load_passages(rows, data["figure"], charts)
    _load_routines(rows, data["routine"])
    _load_pieces(rows, data["piece"])
    return rows


def _load_rhythms(rows: DanceRows, data: list[Row]) -> None:
    rhythms = Rhythm.objects.bulk_create(
        Rhythm(
            dance=rows.dance,
            name=row["name"],
            begins_on_beat=row["begins_on_beat"],
            source=row["source"],
        )
        for row in data
    )
    RhythmCount.objects.bulk_create(
        RhythmCount(rhythm=rhythm, position=position, count=count, ticks=ticks)
        for rhythm, row in zip(rhythms, data, strict=True)
        for position, (count, ticks) in enumerate(row["counts"])
    )


def _load_ladder(rows: DanceRows, data: list[Row]) -> None:
    levels = Level.objects.bulk_create(Level(dance=rows.dance, **row) for row in data)
    rows.levels = {level.rank: level for level in levels}


def _load_holds(rows: DanceRows, data: list[Row]) -> None:
    holds = Hold.objects.bulk_create(
        Hold(
            dance=rows.dance,
            key=row["key"],
            name=row["name"],
            facing=row.get("facing"),
            same_foot=row.get("same_foot", False),
        )
        for row in data
    )
    rows.holds = {hold.key: hold for hold in holds}
    HoldChange.objects.bulk_create(
        HoldChange(hold=rows.holds[row["key"]], into=look_up(rows.holds, into, "hold"))
        for row in data
        for into in row["turns_into"]
    )


def _load_figures(rows: DanceRows, data: list[Row]) -> None:
    figures = Figure.objects.bulk_create(
        _figure_row(rows, row, place) for place, row in enumerate(data, start=1)
    )
    rows.figures = {figure.name: figure for figure in figures}
    FigureName.objects.bulk_create(
        FigureName(
            dance=rows.dance,
            figure=rows.figures[row["name"]],
            name=name,
            key=name_key(name),
            is_main=name == row["name"],
        )
        for row in data
        for name in (row["name"], *row.get("other_names", ()))
    )
    for row in data:
        figure = rows.figures[row["name"]]
        for form in FORMS:
            setattr(figure, form, rows.figure(row[form]) if form in row else None)
    Figure.objects.bulk_update(figures, FORMS)


def _figure_row(rows: DanceRows, row: Row, place: int) -> Figure:
    return Figure(
        dance=rows.dance,
        level=rows.levels[row["level"]],
        kind=row.get("kind", FigureKind.FIGURE),
        name=row["name"],
        order=place * GAP,
        ticks=row["beats"] * TICKS_PER_BEAT if "beats" in row else None,
        minutes_to_introduce=row["minutes_to_introduce"],
        minutes_to_review=row["minutes_to_review"],
        in_a_row=row.get("in_a_row", 1),
        lead=row.get("lead", ""),
        response=row.get("response", ""),
        notes=row.get("notes", ""),
    )


def _load_teaching_words(rows: DanceRows, data: list[Row]) -> None:
    Fault.objects.bulk_create(
        Fault(figure=rows.figures[row["name"]], position=position, **fault)
        for row in data
        for position, fault in enumerate(row.get("faults", ()))
    )
    Caution.objects.bulk_create(
        Caution(figure=rows.figures[row["name"]], position=position, text=text)
        for row in data
        for position, text in enumerate(row.get("cautions", ()))
    )


def _load_prerequisites(rows: DanceRows, data: list[Row]) -> None:
    Prerequisite.objects.bulk_create(
        Prerequisite(figure=rows.figures[row["name"]], needs=rows.figure(needed), same_evening=same_evening)
        for row in data
        for heading, same_evening in (("needs", False), ("needs_by_the_same_evening", True))
        for needed in row.get(heading, ())
    )


def _load_charts(rows: DanceRows, data: list[Row]) -> dict[str, StepChart]:
    charts = StepChart.objects.bulk_create(
        StepChart(figure=rows.figure(row["figure"]), name=row["name"], note=row.get("note", ""))
        for row in data
    )
    ChartStep.objects.bulk_create(
        step
        for chart, row in zip(charts, data, strict=True)
        for position, line in enumerate(row["rows"])
        for step in _steps_of_a_count(rows, chart, position, line)
    )
    return {_named(chart.figure.name, chart.name): chart for chart in charts}


def _steps_of_a_count(
    rows: DanceRows, chart: StepChart, position: int, line: list[str | int]
) -> tuple[ChartStep, ChartStep]:
    count, ticks, leader, leader_turn, follower, follower_turn, hold, cue = line

    def step(role: FloorRole, text: str, turn: int) -> ChartStep:
        foot, action, direction = step_of(text)
        return ChartStep(
            chart=chart,
            role=role,
            position=position,
            count=count,
            ticks=ticks,
            foot=foot,
            action=action,
            direction=direction,
            turn=turn,
            hold=look_up(rows.holds, str(hold), "hold") if hold else None,
            cue=cue,
        )

    return (
        step(FloorRole.LEADER, str(leader), int(leader_turn)),
        step(FloorRole.FOLLOWER, str(follower), int(follower_turn)),
    )


def _load_passages(rows: DanceRows, data: list[Row], charts: dict[str, StepChart]) -> None:
    passages = Passage.objects.bulk_create(
        _passage_row(rows, row, position, way, charts)
        for row in data
        for position, way in enumerate(row.get("passages", ()))
    )
    rows.passages = {_named(passage.figure.name, passage.label): passage for passage in passages}


def _passage_row(rows: DanceRows, row: Row, position: int, way: Row, charts: dict[str, StepChart]) -> Passage:
    before, after = stance_of(way["from"]), stance_of(way["to"])
    return Passage(
        figure=rows.figures[row["name"]],
        position=position,
        label=way.get("label", ""),
        ticks=way["beats"] * TICKS_PER_BEAT if "beats" in way else None,
        entry_hold=look_up(rows.holds, before.hold, "hold") if before.hold else None,
        entry_foot=before.foot,
        entry_place=before.place,
        exit_hold=look_up(rows.holds, after.hold, "hold") if after.hold else None,
        exit_foot=after.foot,
        exit_place=after.place,
        give=way.get("give", 0),
        chart=look_up(charts, _named(row["name"], way["chart"]), "chart") if "chart" in way else None,
    )


def _load_routines(rows: DanceRows, data: list[Row]) -> None:
    routines = Routine.objects.bulk_create(
        Routine(level=rows.levels[row["level"]], name=row["name"], note=row.get("note", "")) for row in data
    )
    rows.routines = {routine.name: routine for routine in routines}
    for row in data:
        if "continues" in row:
            rows.routines[row["name"]].continues = look_up(rows.routines, row["continues"], "routine")
    Routine.objects.bulk_update(routines, ["continues"])
    RoutineItem.objects.bulk_create(
        RoutineItem(
            routine=rows.routines[row["name"]],
            position=place * GAP,
            passage=None if name == CORNER else look_up(rows.passages, name, "passage"),
            is_corner=name == CORNER,
        )
        for row in data
        for place, name in enumerate(row["dances"], start=1)
    )


def _load_pieces(rows: DanceRows, data: list[Row]) -> None:
    Piece.objects.bulk_create(
        Piece(
            dance=rows.dance,
            title=row["title"],
            beats_per_minute=row["beats_per_minute"],
            seconds=read_length(row["length"]),
            intro_beats=row["intro_beats"],
        )
        for row in data
    )


def _named(figure: str, label: str) -> str:
    """How the files name a passage or a chart: by its figure, and by its label where it has one."""
    return f"{figure}: {label}" if label else figure
