"""The page on which one lesson's run-sheet is changed: what is typed, and the fitted times beside."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

from django.http import QueryDict

from curriculum.models import Piece
from lessons.actions.sheets import change_sheet
from lessons.evening.tonight import Tonight, tonight_of
from lessons.forms.sheet import Row, added_in, change_of, place_for, press, pressed_in, row_of, rows_from
from lessons.models import LessonSession, SheetChange
from lessons.planners.tonight import TimedSegment
from lessons.rules.music import SLOW_AND_TEMPO
from lessons.rules.segments import USUAL_TITLES, Evening, segments_of
from lessons.rules.sheet_changes import OWN, Change, place_of, spoken_of
from lessons.rules.sheet_check import Trial, try_out
from lessons.run_sheet.changed import changes_of
from lessons.run_sheet.fitted import evening_of, reach_of, too_long_said
from school.models import Person
from school.sent import whole_number


@dataclass(frozen=True)
class PageRow:
    """A row of the form with what the sheet gives it: when it starts and for how long, None for one that is
    left out or has no room."""

    row: Row
    number: int
    title: str
    timed: TimedSegment | None
    starts: dt.time | None
    is_first: bool
    is_last: bool

    @property
    def is_danced(self) -> bool:
        """Whether it is offered music: what is danced, and something of one's own."""
        return self.row.kind in (*SLOW_AND_TEMPO, "warm_up", OWN)


@dataclass
class SheetPage:
    """`data`: what was posted, None for a look. Nothing is written before `save`."""

    lesson: LessonSession
    data: QueryDict | None = None
    refusals: list[str] = field(default_factory=list)
    go_on_at: int | None = None
    overtaken: bool = False

    @cached_property
    def change(self) -> SheetChange | None:
        return SheetChange.objects.select_related("changed_by").filter(lesson=self.lesson).first()

    @property
    def version(self) -> int:
        """Of the changes the reader is looking at: as posted, unless somebody wrote in between."""
        if self.data is not None and not self.overtaken:
            said = whole_number(self.data.get("version"))
            return -1 if said is None else said
        return self.change.version if self.change else 0

    @cached_property
    def tonight(self) -> Tonight:
        return tonight_of(self.lesson)

    @cached_property
    def evening(self) -> Evening:
        reach = reach_of(self.lesson.course, on=self.lesson.date, known=self.tonight.known)
        return evening_of(self.tonight, reach)

    @cached_property
    def figures(self) -> dict[str, int]:
        """Tonight's figures, name -> pk."""
        return {item.key: item.figure.pk for item in self.tonight.planned}

    @cached_property
    def pieces(self) -> list[tuple[str, str]]:
        """The school's pieces of this dance, slower first: (key, title and tempo). One query."""
        rows = Piece.objects.filter(dance=self.lesson.course.dance_id).order_by("beats_per_minute", "title")
        return [(str(piece.pk), f"{piece.title} ({piece.beats_per_minute:.0f} beats)") for piece in rows]

    @cached_property
    def _piece_keys(self) -> frozenset[int]:
        return frozenset(int(key) for key, _ in self.pieces)

    @cached_property
    def stored(self) -> Trial:
        """The sheet as it stands."""
        return try_out(self.evening, self._complete(changes_of(self.lesson).segments))

    @property
    def is_changed(self) -> bool:
        return self.stored.changes != self._complete(())

    @cached_property
    def rows(self) -> list[Row]:
        """As stored, or as posted with what a button asked for."""
        if self.data is None:
            return [row_of(change, self.figures) for change in self.stored.changes]
        posted = rows_from(self.data)
        pressed = pressed_in(self.data, posted)
        if self.added and not self.wrong_more:
            posted.insert(place_for(posted), self.added)
        wanted = self._changes(posted)
        # What was posted stays in its row, typed as it was; what the plan has put in since joins it.
        typed = {id(change): row for change, row in zip(wanted, posted, strict=True)}
        complete = self._complete(wanted)
        rows = [typed.get(id(change)) or row_of(change, self.figures) for change in complete]
        if self.data.get("press") == "add":
            self.go_on_at = next((at for at, row in enumerate(rows) if row is self.added), None)
        at = next((at for at, row in enumerate(rows) if pressed and row is pressed.row), None)
        if pressed and at is not None:
            timed = try_out(self.evening, complete).timed[at]
            self.go_on_at = press(rows, at, pressed.what, timed.minutes if timed else 0)
        return rows

    @cached_property
    def added(self) -> Row | None:
        """Something of one's own that is to be put in, as typed."""
        return added_in(self.data) if self.data is not None else None

    @property
    def wrong_more(self) -> str:
        """What is wrong with the fields for something of one's own, said there: the row is not made."""
        return "Say what it is, then add it." if self.added and not self.added.title else ""

    def _changes(self, rows: Sequence[Row]) -> list[Change]:
        names = {pk: name for name, pk in self.figures.items()}
        return [change_of(row, names, self._piece_keys) for row in rows]

    def _complete(self, changes: Sequence[Change]) -> tuple[Change, ...]:
        return spoken_of(segments_of(self.evening), changes)

    @cached_property
    def trial(self) -> Trial:
        """The sheet with what is typed."""
        wanted = self._changes(self.rows)
        before = {(change.place, change.title): change for change in self.stored.changes}
        asked = frozenset(
            at
            for at, change in enumerate(wanted)
            if (old := before.get((change.place, change.title))) is None
            or (old.minutes, old.left_out) != (change.minutes, change.left_out)
        )
        return try_out(self.evening, wanted, asked)

    def is_valid(self) -> bool:
        for row in self.rows:
            row.check()
        if not any(row.wrong for row in self.rows):
            for at, sentence in self.trial.wrong.items():
                self.rows[at].wrong["minutes"] = sentence
        return not self.wrong_more and not any(row.wrong for row in self.rows)

    def save(self, *, by: Person) -> None:
        """Raises Overtaken, or ValidationError for a lesson whose sheet is closed."""
        changes = self.trial.changes
        if self.data is not None and self.data.get("press") == "as-planned":
            changes = ()
        plain = changes == self._complete(())
        change_sheet(
            lesson=self.lesson,
            version=self.version,
            segments=() if plain else changes,
            figures=self.figures,
            by=by,
        )

    def show_theirs(self, sentence: str) -> None:
        """What was typed stays; the next press is meant for the sheet as it is now."""
        self.refusals.append(sentence)
        self.overtaken = True

    @property
    def page_rows(self) -> list[PageRow]:
        titles = {place_of(segment): segment.title for segment in segments_of(self.evening)}
        timed_rows = self.trial.timed if self.is_valid() else self._as_it_stands()
        begin = dt.datetime.combine(self.lesson.date, self.lesson.start)
        shown = []
        for number, (row, change, timed) in enumerate(
            zip(self.rows, self.trial.changes, timed_rows, strict=True)
        ):
            starts = (begin + dt.timedelta(minutes=timed.start)).time() if timed else None
            title = row.title if row.kind == OWN else titles.get(change.place, USUAL_TITLES.get(row.kind, ""))
            last = number == len(self.rows) - 1
            shown.append(PageRow(row, number, title, timed, starts, number == 0, last))
        return shown

    def _as_it_stands(self) -> list[TimedSegment | None]:
        """What each row has in the sheet as stored, while what is typed cannot be."""
        stored = zip(self.stored.changes, self.stored.timed, strict=True)
        has = {(change.place, change.title): timed for change, timed in stored}
        return [has.get((change.place, change.title)) for change in self.trial.changes]

    @property
    def too_long(self) -> str:
        return too_long_said(self.trial.sheet)
