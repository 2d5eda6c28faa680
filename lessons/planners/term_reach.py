"""Which lessons a figure could begin in at all, and which figures can't be left out."""

from __future__ import annotations

from dataclasses import dataclass
from graphlib import TopologicalSorter

from .term_history import Standing
from .term_values import FigureToTeach, TermProblem


@dataclass(frozen=True)
class Reach:
    """`lessons`: key of a figure to come -> lessons its first part may stand in; `must`: never left out."""

    lessons: dict[str, tuple[int, ...]]
    must: frozenset[str]


def lessons_inside(problem: TermProblem, state: Standing, figure: FigureToTeach) -> range:
    """Lessons to come from which all parts of the figure still lie inside the term."""
    return range(state.first, len(problem.lessons) - figure.parts + 1)


def may_begin(figure: FigureToTeach, lesson: int) -> bool:
    """Whether the figure's own demands let it begin in the lesson."""
    return (
        lesson not in figure.barred
        and (figure.pinned is None or lesson == figure.pinned)
        and (figure.earliest is None or lesson >= figure.earliest)
        and (figure.latest is None or lesson <= figure.latest)
    )


def groups_to_come(sets: tuple[frozenset[str], ...], state: Standing) -> list[tuple[str, ...]]:
    """The sets, less what is known or taught, each in the order of the syllabus."""
    groups = []
    for keys in sets:
        live = [key for key in keys if key in state.place and key not in state.taught]
        if len(live) > 1:
            groups.append(tuple(sorted(live, key=state.place.__getitem__)))
    return groups


def needs_to_come(figure: FigureToTeach, state: Standing, *, same_lesson: bool) -> list[str]:
    """What the figure needs and is not yet taught, in the order of the syllabus.

    A figure both in `needs` and in `after` is a need: the stricter demand holds.
    """
    keys = figure.after - figure.needs if same_lesson else figure.needs
    live = [key for key in keys if key in state.place and key not in state.taught]
    return sorted(live, key=state.place.__getitem__)


def reach(problem: TermProblem, state: Standing) -> Reach:
    """Tighten each figure's lessons by its own demands and, over and over, by what it needs."""
    must = _must(problem, state)
    lessons = {
        figure.key: tuple(
            lesson for lesson in lessons_inside(problem, state, figure) if may_begin(figure, lesson)
        )
        for figure in state.to_come
    }
    needs_first = _needs_first(state)
    changed = True
    while changed:
        changed = False
        for figure in needs_first + needs_first[::-1]:
            changed |= _tighten_by_needs(figure, state, lessons, must)
        for group in groups_to_come(problem.together, state):
            changed |= _tighten_together(group, state, lessons)
    return Reach(lessons, must)


def _needs_first(state: Standing) -> list[FigureToTeach]:
    """The figures to come, each behind all it needs: so one pass carries a date down a whole chain."""
    by_key = {figure.key: figure for figure in state.to_come}
    sorter: TopologicalSorter[str] = TopologicalSorter()
    for figure in state.to_come:
        for same_lesson in (False, True):
            sorter.add(figure.key, *needs_to_come(figure, state, same_lesson=same_lesson))
    return [by_key[key] for key in sorter.static_order() if key in by_key]


def _must(problem: TermProblem, state: Standing) -> frozenset[str]:
    must = {f.key for f in state.to_come if f.required or f.pinned is not None}
    must |= state.finishing.keys()
    by_key = {figure.key: figure for figure in state.to_come}
    groups = groups_to_come(problem.together, state)
    pending = list(must)
    while pending:
        key = pending.pop()
        drawn = {mate for group in groups if key in group for mate in group}
        if key in by_key:
            drawn.update(needs_to_come(by_key[key], state, same_lesson=False))
            drawn.update(needs_to_come(by_key[key], state, same_lesson=True))
        pending.extend(drawn - must)
        must |= drawn
    return frozenset(must)


def _tighten_by_needs(
    figure: FigureToTeach, state: Standing, lessons: dict[str, tuple[int, ...]], must: frozenset[str]
) -> bool:
    changed = False
    for same_lesson in (False, True):
        gap = 0 if same_lesson else 1
        for need in needs_to_come(figure, state, same_lesson=same_lesson):
            own = lessons[figure.key]
            if need in state.finishing:
                earliest = state.first + gap
            elif lessons[need]:
                parts = state.parts[need]
                earliest = lessons[need][0] + parts - 1 + gap
                if figure.key in must and own:
                    kept = tuple(at for at in lessons[need] if at + parts - 1 + gap <= own[-1])
                    changed |= kept != lessons[need]
                    lessons[need] = kept
            else:
                earliest = own[-1] + 1 if own else 0
            kept = tuple(at for at in own if at >= earliest)
            changed |= kept != own
            lessons[figure.key] = kept
    return changed


def _tighten_together(group: tuple[str, ...], state: Standing, lessons: dict[str, tuple[int, ...]]) -> bool:
    fixed = {state.first} if any(key in state.finishing for key in group) else None
    shared = set.intersection(
        *(set(lessons[key]) for key in group if key in lessons), *([fixed] if fixed else [])
    )
    changed = False
    for key in group:
        if key in lessons and set(lessons[key]) != shared:
            lessons[key] = tuple(at for at in lessons[key] if at in shared)
            changed = True
    return changed
