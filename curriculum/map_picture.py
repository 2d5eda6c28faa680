"""The prerequisite map of a dance, drawn and in words: what each figure needs first and what it opens."""

from __future__ import annotations

import textwrap
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from curriculum.models import Dance, Figure, Level, Prerequisite
from curriculum.rules.prerequisite_map import Arrow, PrerequisiteMap, lay_out

# One unit is one CSS pixel when the map is shown at its own width.
BOX_WIDTH, BOX_HEIGHT = 152, 46
COLUMN, ROW = 166, 88
SIDE, BAND_HEAD, BAND_FOOT = 12, 40, 18
LETTERS, LINE = 18, 17


@dataclass(frozen=True)
class Box:
    """A figure. `lines`: its name with the y of each line. `needs`, `opens`: keys, apart by spaces."""

    figure: Figure
    x: float
    y: float
    lines: tuple[tuple[float, str], ...]
    needs: str
    opens: str
    about: str

    @property
    def middle(self) -> float:
        return self.x + BOX_WIDTH / 2


@dataclass(frozen=True)
class Band:
    level: Level
    y: int
    height: int


@dataclass(frozen=True)
class Line:
    """An arrow as the d of an SVG path, between two figures' keys."""

    path: str
    head: str
    needed: int
    needing: int


@dataclass(frozen=True)
class Picture:
    width: int
    height: int
    bands: tuple[Band, ...]
    boxes: tuple[Box, ...]
    lines: tuple[Line, ...]
    box_width: int = BOX_WIDTH
    box_height: int = BOX_HEIGHT


@dataclass(frozen=True)
class Entry:
    """A figure in the list: what it needs and what it opens, each named directly."""

    figure: Figure
    needs: tuple[Figure, ...]
    opens: tuple[Figure, ...]


@dataclass(frozen=True)
class DanceMap:
    """`picture`: None for a dance without figures. `entries`: each level with its figures in order."""

    picture: Picture | None
    entries: tuple[tuple[Level, tuple[Entry, ...]], ...]


def dance_map(dance: Dance, levels: Sequence[Level]) -> DanceMap:
    """The map of the dance's figures on `levels` (from the lowest up). Two queries."""
    figures = tuple(Figure.objects.filter(dance=dance, level__in=levels).in_teaching_order())
    pairs = Prerequisite.objects.filter(figure__in=figures, needs__in=figures).order_by("pk")
    return map_of(levels, figures, list(pairs.values_list("figure_id", "needs_id")))


def map_of(levels: Sequence[Level], figures: Sequence[Figure], pairs: Iterable[tuple[int, int]]) -> DanceMap:
    """The map of these figures; pairs: (figure, what it needs) by key. No query."""
    by_key = {figure.pk: figure for figure in figures}
    needs: dict[int, list[int]] = defaultdict(list)
    opens: dict[int, list[int]] = defaultdict(list)
    for figure, needed in pairs:
        needs[figure].append(needed)
        opens[needed].append(figure)
    rank = {level.pk: level.rank for level in levels}
    entries = {
        figure.pk: Entry(
            figure,
            tuple(by_key[key] for key in by_key if key in needs[figure.pk]),
            tuple(by_key[key] for key in by_key if key in opens[figure.pk]),
        )
        for figure in figures
    }
    laid = lay_out(
        {str(key): frozenset(map(str, needs[key])) for key in by_key},
        {str(figure.pk): rank[figure.level_id] for figure in figures},
    )
    return DanceMap(
        picture=_picture(laid, levels, entries) if figures else None,
        entries=tuple(
            (level, tuple(entry for entry in entries.values() if entry.figure.level_id == level.pk))
            for level in levels
        ),
    )


def _picture(laid: PrerequisiteMap, levels: Sequence[Level], entries: Mapping[int, Entry]) -> Picture:
    width = round(laid.width * COLUMN) + 2 * SIDE
    bands, tops = [], []
    y = 0
    for level in levels:
        rows = laid.rows.get(level.rank, 0)
        if not rows:
            continue
        tops += [y + BAND_HEAD + ROW * row for row in range(rows)]
        height = BAND_HEAD + ROW * (rows - 1) + BOX_HEIGHT + BAND_FOOT
        bands.append(Band(level, y, height))
        y += height + ROW - BOX_HEIGHT - BAND_FOOT
    boxes = {key: _box(entry, laid, tops) for key, entry in entries.items()}
    return Picture(
        width=width,
        height=bands[-1].y + bands[-1].height,
        bands=tuple(bands),
        boxes=tuple(boxes.values()),
        lines=tuple(_line(arrow, boxes, tops) for arrow in laid.arrows),
    )


def _box(entry: Entry, laid: PrerequisiteMap, tops: Sequence[int]) -> Box:
    spot = laid.spots[str(entry.figure.pk)]
    y = tops[spot.row]
    lines = textwrap.wrap(entry.figure.name, LETTERS, max_lines=2, placeholder=" …")
    first = y + BOX_HEIGHT / 2 - LINE * (len(lines) - 1) / 2
    return Box(
        figure=entry.figure,
        x=round(SIDE + spot.x * COLUMN - BOX_WIDTH / 2, 1),
        y=y,
        lines=tuple((first + LINE * number, line) for number, line in enumerate(lines)),
        needs=" ".join(str(figure.pk) for figure in entry.needs),
        opens=" ".join(str(figure.pk) for figure in entry.opens),
        about=_about(entry),
    )


def _about(entry: Entry) -> str:
    """e.g. "fan: needs basic movement; opens alemana, hockey stick"."""
    needs = ", ".join(figure.name for figure in entry.needs) or "nothing"
    opens = ", ".join(figure.name for figure in entry.opens) or "nothing"
    return f"{entry.figure.name}: needs {needs}; opens {opens}"


def _line(arrow: Arrow, boxes: Mapping[int, Box], tops: Sequence[int]) -> Line:
    """Down from box to box; past the rows between them straight, in the gaps in a curve."""
    needed, needing = boxes[int(arrow.needed)], boxes[int(arrow.needing)]
    down = needing.y > needed.y
    leave, arrive = (BOX_HEIGHT, -7) if down else (0, BOX_HEIGHT + 7)
    x, y = needed.middle, needed.y + leave
    path = [f"M{x:.1f} {y}"]
    for row, at in arrow.bends:
        near, far = (tops[row], tops[row] + BOX_HEIGHT) if down else (tops[row] + BOX_HEIGHT, tops[row])
        bend = SIDE + at * COLUMN
        path.append(f"{_curve(x, y, bend, near)}V{far}")
        x, y = bend, far
    end = needing.y + arrive
    path.append(_curve(x, y, needing.middle, end))
    x, tip = needing.middle, 4 if down else -4
    head = f"M{x - 5:.1f} {end - tip}L{x:.1f} {end + tip}L{x + 5:.1f} {end - tip}"
    return Line("".join(path), head, needed.figure.pk, needing.figure.pk)


def _curve(x: float, y: float, to_x: float, to_y: float) -> str:
    half = (y + to_y) / 2
    return f"C{x:.1f} {half:g} {to_x:.1f} {half:g} {to_x:.1f} {to_y:g}"
