"""A school's music: the list, and which pieces a routine fits."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from curriculum.models import Dance, Piece
from curriculum.routine_music import Again, how_often
from curriculum.rules.music_fit import Fit, fit_into, say_length

SHOWN_PHRASES = 8
REPEATS = Again()
"""Of a routine that can be danced as often as one likes."""


@dataclass(frozen=True)
class PieceRow:
    """A piece and its tempo in the dance's terms. pace: "" within the dance's range, else what it is."""

    piece: Piece
    bars_per_minute: Fraction
    pace: str

    @property
    def length(self) -> str:
        return say_length(self.piece.seconds)

    @property
    def bars(self) -> str:
        """To the nearest half: "29.5"."""
        return f"{round(float(self.bars_per_minute) * 2) / 2:g}"


@dataclass(frozen=True)
class PieceFit:
    """A routine in a piece. phrases: where the first few phrases begin, as "0:16"; more: how many follow."""

    row: PieceRow
    fit: Fit
    again: Again
    phrases: tuple[str, ...]
    more: int

    @property
    def fits(self) -> bool:
        """It can be danced and goes in once at least, at a tempo of the dance."""
        return bool(self.fit.times) and not self.again.broken and not self.row.pace

    @property
    def often(self) -> str:
        return how_often(self.fit, self.again)

    @property
    def begins(self) -> str:
        return say_length(self.fit.begins)


def piece_rows(dance: Dance | None = None) -> list[PieceRow]:
    """All pieces, or those of a dance, by dance and title. One query."""
    pieces = Piece.objects.select_related("dance").order_by("dance__name", "title")
    return [_row(piece) for piece in (pieces.filter(dance=dance) if dance else pieces)]


def pieces_for(beats: Fraction, dance: Dance, again: Again = REPEATS) -> list[PieceFit]:
    """The dance's pieces with a routine of `beats` laid into each; those it fits first. One query."""
    if not beats:
        return []
    fits = [_fit(row, beats, dance, again) for row in piece_rows(dance)]
    return sorted(fits, key=lambda found: not found.fits)


def _row(piece: Piece) -> PieceRow:
    bars = Fraction(piece.beats_per_minute) / piece.dance.beats_per_bar
    slowest, quickest = piece.dance.slowest_bars_per_minute, piece.dance.quickest_bars_per_minute
    pace = ""
    if slowest is not None and bars < Fraction(slowest):
        pace = "slower than this dance"
    if quickest is not None and bars > Fraction(quickest):
        pace = "quicker than this dance"
    return PieceRow(piece, bars, pace)


def _fit(row: PieceRow, beats: Fraction, dance: Dance, again: Again) -> PieceFit:
    fit = fit_into(
        beats,
        phrase_beats=dance.beats_per_bar * dance.bars_per_phrase,
        beats_per_minute=Fraction(row.piece.beats_per_minute),
        seconds=row.piece.seconds,
        intro_beats=row.piece.intro_beats,
        most=again.most,
    )
    said = tuple(say_length(start) for start in fit.phrases[:SHOWN_PHRASES])
    return PieceFit(row, fit, again, said, max(len(fit.phrases) - SHOWN_PHRASES, 0))
