"""The picture of a strip as SVG: which elements it has. A template would take a second over 1,000 figures.

Places and sizes come from curriculum.strip_picture, colours and strokes from the stylesheet. A list on the
page says the same in words.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from html import escape
from itertools import groupby

from django.utils.safestring import SafeString, mark_safe

from curriculum.strip_picture import BLOCK, RULER, Line, Mark, Picture, Piece, RoomSide, Tick

MARK_SHAPES = {
    "flows": '<path d="M-8 -3C-8 6 8 6 8 -3"/>',
    "give": '<path d="M-8 -3C-8 6 8 6 8 -3"/><path d="M3 -5L8 -3L9 3"/>',
    "change": '<path d="M0 -8L8 0L0 8L-8 0Z"/><path d="M-3 0H3"/>',
    "broken": '<path d="M-7 -7L7 7M7 -7L-7 7"/>',
}
"""The shapes of joins, round 0 0. Told apart by shape; the word stands beside it."""
_CORNER_SHAPE = "M0 0v-20h-13"


@dataclass(frozen=True, slots=True)
class Places:
    """Where blocks and corners are links to what can be done at their places. chosen: the one looked at;
    kept: what every link takes along of the address's question."""

    chosen: int
    kept: str

    def link(self, place: int) -> str:
        """The attributes every link has."""
        kept = f"&amp;{escape(self.kept)}" if self.kept else ""
        return f'href="?at={place}{kept}#at" data-place="{place}"'


def strip_svg(picture: Picture, looks: str, places: Places | None = None) -> SafeString:
    """looks: "wide" or "narrow"."""
    role = ' role="group" aria-label="The row on the ruler of bars"' if places else ""
    lines = "\n".join("".join(_line(line, places)) for line in picture.lines)
    return mark_safe(  # noqa: S308 (whatever somebody typed is escaped where it is put in)
        f'<svg class="strip-picture {looks}" viewBox="0 0 {picture.width} {picture.height}" focusable="false"'
        f"{role}>\n{lines}\n</svg>"
    )


def mark_svg(kind: str) -> SafeString:
    """The shape of a join beside its word."""
    return mark_safe(  # noqa: S308 (both are known words)
        f'<svg class="mark mark-{escape(kind)}" viewBox="-10 -10 20 20" width="20" height="20" '
        f'aria-hidden="true">{MARK_SHAPES.get(kind, "")}</svg>'
    )


def _line(line: Line, places: Places | None) -> Iterator[str]:
    yield f'<g transform="translate(0 {line.top})"><path class="ruler-line" d="M14 {RULER}H{line.end:g}"/>'
    yield from _ruler(line.ticks)
    for piece in line.pieces:
        yield from _piece(piece, places)
    for mark in line.marks:
        yield from _mark(mark, places)
    sides = "".join(map(_side, line.sides))
    yield f'<g class="sides" transform="translate(0 {line.sides_at})">{sides}</g></g>'


def _ruler(ticks: Iterable[Tick]) -> Iterator[str]:
    """One path for all ticks of a kind, those of beats under the others."""
    for kind, alike in groupby(sorted(ticks, key=lambda tick: tick.height), key=lambda tick: tick.kind):
        path = "".join(f"M{tick.x:g} {RULER}v-{tick.height}" for tick in alike)
        yield f'<path class="tick {kind}" d="{path}"/>'
    for tick in ticks:
        if tick.label:
            yield f'<text class="bar-number" x="{tick.x:g}" dx="4" y="17">{tick.label}</text>'


def _piece(piece: Piece, places: Places | None) -> Iterator[str]:
    style = "piece" if piece.is_taught else "piece untaught"
    if places is None:
        yield f'<g class="{style}">'
    else:
        yield _piece_link(piece, places, style)
    x = f"{piece.x:g}"
    yield f'<rect x="{x}" y="{RULER + 1}" width="{piece.width:g}" height="{BLOCK - 1}"/>'
    if piece.begins:
        yield f'<path class="edge" d="M{x} {RULER}v{BLOCK}"/>'
    if piece.ends:
        yield f'<path class="edge" d="M{piece.right:g} {RULER}v{BLOCK}"/>'
    yield f'<text class="place" x="{x}" dx="7" y="45">{piece.number}</text>'
    for y, row in piece.rows:
        yield f'<text x="{x}" dx="7" y="{y:g}">{escape(row)}</text>'
    yield "</g>" if places is None else "</a>"


def _piece_link(piece: Piece, places: Places, style: str) -> str:
    is_chosen = piece.place == places.chosen
    said = ' tabindex="-1" aria-hidden="true"'
    if piece.begins:
        untaught = "" if piece.is_taught else ", not taught yet"
        said = f' aria-label="{piece.number}. {escape(piece.name)}{untaught}"{_current(is_chosen)}'
    return f'<a {places.link(piece.place)} class="{style}{" chosen" if is_chosen else ""}"{said}>'


def _mark(mark: Mark, places: Places | None) -> Iterator[str]:
    x = f"{mark.x:g}"
    shape = MARK_SHAPES.get(mark.kind, "")
    yield f'<g class="mark mark-{mark.kind}" transform="translate({x} 122)">{shape}</g>'
    if mark.word:
        style, at = ("mark-word at-start", "4") if mark.at_start else ("mark-word", x)
        yield f'<text class="{style}" x="{at}" y="147">{escape(mark.word)}</text>'
    if not mark.corner:
        return
    at = f'transform="translate({x} {RULER})"'
    if places is None:
        yield f'<g class="corner" {at}><path d="{_CORNER_SHAPE}"/></g>'
        return
    is_chosen = mark.corner == places.chosen
    yield (
        f'<a {places.link(mark.corner)} class="corner{" chosen" if is_chosen else ""}" '
        f'aria-label="corner of the room"{_current(is_chosen)} {at}>'
        f'<rect x="-26" y="-25" width="32" height="25"/><path d="{_CORNER_SHAPE}"/></a>'
    )


def _current(is_chosen: bool) -> str:
    return ' aria-current="true"' if is_chosen else ""


def _side(side: RoomSide) -> str:
    style = "long" if side.name == "long side" else "short"
    turn = f'<path class="turn-end" d="M{side.end:g} 11v-10"/>' if side.turns else ""
    label = f'<text x="{side.x:g}" dx="3" y="22">{side.label}</text>' if side.label else ""
    return f'<path class="{style}" d="M{side.x:g} 6H{side.end:g}"/>{turn}{label}'
