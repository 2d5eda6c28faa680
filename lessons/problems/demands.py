"""What is asked of each figure: the plan's own demands, the prerequisites and the milestones, as indices."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from lessons.models import LessonSession, PlanFigure
from lessons.planners.term_values import FigureToTeach
from lessons.problems.history import History
from lessons.problems.rows import CourseRows
from lessons.problems.spacing import distances
from lessons.problems.standing_alone import standing_alone
from lessons.problems.teachers import waits_for_a_teacher, without_teachers
from lessons.problems.wording import spoken_day, spoken_list


@dataclass
class Demands:
    """The figures to teach, in syllabus order; names counted as known; what to say about either; what the
    calendar or an evening did to the place of a figure (by name), which the notes say too; which share an
    evening because of what they need."""

    figures: list[FigureToTeach] = field(default_factory=list)
    taken_as_known: set[str] = field(default_factory=set)
    notes: list[str] = field(default_factory=list)
    lost: dict[str, str] = field(default_factory=dict)
    together: list[frozenset[str]] = field(default_factory=list)


def read_demands(rows: CourseRows, planned: tuple[PlanFigure, ...], history: History) -> Demands:
    """Turn plan figures into figures to teach; `planned` are those that are not known already."""
    demands = Demands(notes=list(without_teachers(rows.teachers, rows.to_come)))
    places = {row.figure_id: row for row in planned}
    settled = history.introduced | history.unfinished.keys()
    own = {} if rows.is_drop_in else distances(rows, history)
    for order, row in enumerate(planned):
        figure = _figure(rows, row, order, demands, is_settled=row.figure_id in settled)
        figure = replace(figure, review_after=own.get(row.figure_id))
        demands.figures.append(_with_needs(rows, figure, row, places, history, demands))
    if rows.is_drop_in:
        _let_stand_alone(rows, demands, {row.figure.name for row in planned if row.figure_id in settled})
    _apply_milestones(rows, demands, places, history)
    return demands


def _let_stand_alone(rows: CourseRows, demands: Demands, taught: set[str]) -> None:
    to_come = range(rows.first_to_come, len(rows.lessons))
    alone = standing_alone(demands.figures, taught=taught, most_new=rows.most_new, to_come=to_come)
    demands.figures = list(alone.figures)
    demands.together.extend(alone.together)
    demands.notes.extend(alone.notes)


def _figure(
    rows: CourseRows, row: PlanFigure, order: int, demands: Demands, *, is_settled: bool
) -> FigureToTeach:
    minutes = row.figure.minutes_to_introduce
    review = row.figure.minutes_to_review
    figure = FigureToTeach(
        key=row.figure.name,
        minutes=minutes,
        # What stands in the routine danced that evening comes again by dancing it.
        review_minutes=min(1, review) if row.figure_id in rows.in_routine else review,
        order=order,
        importance=row.importance,
        required=row.required,
        parts=min(row.parts, minutes),
        barred=frozenset(
            rows.index_of[bar.lesson_id] for bar in row.bars.all() if bar.lesson_id in rows.index_of
        ),
    )
    if is_settled:
        return figure
    for sentence in _lost_places(rows, row):
        demands.lost[figure.key] = sentence
        demands.notes.append(sentence)
    figure = _with_teachers(rows, figure, row, demands.notes)
    figure = _with_bounds(rows, figure, row, demands.notes)
    return _with_pin(rows, figure, row, demands.notes)


def _lost_places(rows: CourseRows, row: PlanFigure) -> Iterable[str]:
    """What the calendar or an evening did to where the plan has the figure."""
    name = row.figure.name
    parts = [part.lesson for part in row.introductions.all()]
    indices = [rows.index_of.get(lesson.pk) for lesson in parts]
    for lesson, index in zip(parts, indices, strict=True):
        if index is None:
            yield f"{name} was planned for {spoken_day(lesson.date)}, which falls out: place it anew."
            return
        if index < rows.first_to_come:
            yield f"{name} was planned for {spoken_day(lesson.date)} and was not taught: place it anew."
            return
    if indices and indices != list(range(indices[0], indices[0] + len(indices))):
        yield f"The parts of {name} no longer stand in lessons that follow each other: place it anew."


def _with_bounds(rows: CourseRows, figure: FigureToTeach, row: PlanFigure, notes: list[str]) -> FigureToTeach:
    """Earliest and latest as indices; a lesson that does not take place stands for its neighbour."""
    if row.earliest is not None:
        figure = replace(figure, earliest=sum(_time(lesson) < _time(row.earliest) for lesson in rows.lessons))
    if row.latest is not None:
        latest = sum(_time(lesson) <= _time(row.latest) for lesson in rows.lessons) - 1
        if latest >= rows.first_to_come:
            return replace(figure, latest=latest)
        notes.append(
            f"{figure.key} was to come by {spoken_day(row.latest.date)} and has not been taught: "
            "it may come from now on."
        )
    return figure


def _with_pin(rows: CourseRows, figure: FigureToTeach, row: PlanFigure, notes: list[str]) -> FigureToTeach:
    if row.pinned is None:
        return figure
    day = spoken_day(row.pinned.date)
    index = rows.index_of.get(row.pinned_id)
    if index is None:
        notes.append(f"{figure.key} was kept in the lesson of {day}, which falls out: it may come elsewhere.")
        return replace(figure, required=True)
    if index < rows.first_to_come:
        notes.append(
            f"{figure.key} was kept in the lesson of {day} and was not taught: it may come from now on."
        )
        return replace(figure, required=True)
    return replace(figure, pinned=index)


def _with_teachers(
    rows: CourseRows, figure: FigureToTeach, row: PlanFigure, notes: list[str]
) -> FigureToTeach:
    """It does not begin where nobody who is there teaches it."""
    notes.extend(waits_for_a_teacher(rows.teachers, row.figure, rows.to_come))
    barred = {
        index
        for index, lesson in enumerate(rows.to_come, start=rows.first_to_come)
        if rows.teachers.cannot_begin(row.figure, lesson)
    }
    return replace(figure, barred=figure.barred | barred) if barred else figure


def _time(lesson: LessonSession) -> tuple[dt.date, dt.time]:
    return (lesson.date, lesson.start)


def _with_needs(
    rows: CourseRows,
    figure: FigureToTeach,
    row: PlanFigure,
    places: dict[int, PlanFigure],
    history: History,
    demands: Demands,
) -> FigureToTeach:
    """Prerequisites inside the plan bind; those on lower levels or outside the plan count as known."""
    needs, after = set(), set()
    for prerequisite in rows.needs.get(row.figure_id, ()):
        name = prerequisite.needs.name
        (after if prerequisite.same_evening else needs).add(name)
        if prerequisite.needs_id not in places:
            demands.taken_as_known.add(name)
            if prerequisite.needs_id not in rows.known and prerequisite.needs_id not in history.introduced:
                demands.notes.append(
                    f"{figure.key} needs {name}, which is not in this plan: it is taken as known."
                )
    return replace(figure, needs=frozenset(needs), after=frozenset(after))


def _apply_milestones(
    rows: CourseRows, demands: Demands, places: dict[int, PlanFigure], history: History
) -> None:
    at = {figure.key: place for place, figure in enumerate(demands.figures)}
    settled = history.introduced | history.unfinished.keys()
    for milestone, figures in rows.milestones:
        last = sum(lesson.date <= milestone.day for lesson in rows.lessons) - 1
        overtaken, missing = [], []
        for pk, name in figures.items():
            if pk in settled or pk in rows.known:
                continue
            if pk not in places:
                missing.append(name)
                continue
            place = at[places[pk].figure.name]
            figure = replace(demands.figures[place], required=True)
            if last < rows.first_to_come:
                overtaken.append(name)
            else:
                figure = _by(figure, last)
            demands.figures[place] = figure
        demands.notes.extend(_milestone_notes(milestone.name, spoken_day(milestone.day), overtaken, missing))


def _by(figure: FigureToTeach, last: int) -> FigureToTeach:
    """The figure's last part stands in lesson `last` at the latest; `latest` speaks of the first part."""
    latest = last - (figure.parts - 1)
    return replace(figure, latest=latest if figure.latest is None else min(latest, figure.latest))


def _milestone_notes(name: str, day: str, overtaken: list[str], missing: list[str]) -> Iterable[str]:
    if overtaken:
        yield f"{name} was on {day}: {spoken_list(overtaken)} may come from now on."
    if missing:
        yield f"{name} on {day} asks for {spoken_list(missing)}, which this plan does not teach."
