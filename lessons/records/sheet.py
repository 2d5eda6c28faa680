"""The record form of one lesson: its rows, who was there, and what another writer did meanwhile."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from django.core.exceptions import ValidationError
from django.http import QueryDict

from curriculum.models import Figure, FloorRole
from lessons.actions.records import NOT_BEGUN, not_begun, was_sent, write_record
from lessons.evening.cast import dancers_of
from lessons.evening.tonight import Planned, Tonight, tonight_of
from lessons.forms.records import (
    EXTRA,
    OutcomeForm,
    OutcomeRow,
    RestForm,
    as_planned,
    as_recorded,
    named_in,
    role_words,
)
from lessons.models import Attendance, CatchUp, LessonRecord, LessonSession, Outcome, RecordedFigure
from lessons.people.first_names import names_on_lists
from lessons.people.helpers import calls_for
from lessons.records.past import PastRecord, past_versions
from lessons.run_sheet.changed import changes_of
from lessons.students.catch_up_page import visitors_of
from school.clock import now
from school.models import Person
from school.sent import whole_number, whole_numbers


@dataclass(frozen=True)
class Dancer:
    """Somebody the form asks about, as `called` there; role as enrolled, as asked for by one who catches up,
    as called for, or as recorded for one who only visited."""

    person: Person
    called: str
    role: str
    was_there: bool


@dataclass
class RecordSheet:
    """`data`: what was posted, None for a first look. Nothing is written before `save`."""

    lesson: LessonSession
    data: QueryDict | None = None
    refusals: list[str] = field(default_factory=list)
    theirs: LessonRecord | None = None

    @cached_property
    def record(self) -> LessonRecord | None:
        return LessonRecord.objects.filter(lesson=self.lesson).select_related("recorded_by").first()

    @cached_property
    def recorded(self) -> dict[int, RecordedFigure]:
        rows = self.record.figures.select_related("figure__level") if self.record else ()
        return {row.figure_id: row for row in rows}

    @cached_property
    def attendance(self) -> dict[int, Attendance]:
        rows = self.record.attendance.select_related("person") if self.record else ()
        return {row.person_id: row for row in rows}

    @cached_property
    def tonight(self) -> Tonight:
        return tonight_of(self.lesson)

    @cached_property
    def left_out(self) -> frozenset[tuple[str, str]]:
        """What was left out of the sheet on purpose: (how, figure's name). One query, before there is a
        record."""
        return frozenset() if self.record else changes_of(self.lesson).left_out

    @cached_property
    def posted(self) -> list[int]:
        return named_in(self.data) if self.data is not None else []

    @cached_property
    def rows(self) -> list[OutcomeRow]:
        """Planned figures first, then those recorded or added beside the plan."""
        planned = {item.figure.pk: item for item in self.tonight.planned}
        figures = {pk: item.figure for pk, item in planned.items()}
        figures |= {pk: row.figure for pk, row in self.recorded.items() if pk not in figures}
        missing = [pk for pk in self.posted if pk not in figures]
        # Read only where something was added: a figure of another dance is nobody's to record here.
        added = Figure.objects.filter(pk__in=missing, dance=self.lesson.course.dance_id) if missing else ()
        figures |= {figure.pk: figure for figure in added}
        return [self._row(figure, planned.get(pk)) for pk, figure in figures.items()]

    @cached_property
    def earlier(self) -> tuple[PastRecord, ...]:
        """What the record said before, newest first."""
        return past_versions(self.record) if self.record and self.record.version > 1 else ()

    @cached_property
    def visitors(self) -> list[CatchUp]:
        """Who was expected to catch up a lesson they missed elsewhere. One query."""
        return visitors_of(self.lesson)

    @cached_property
    def dancers(self) -> list[Dancer]:
        enrolled = {row.person_id: (row.person, row.role) for row in dancers_of(self.lesson)}
        called = {row.person_id: (row.person, row.role) for row in calls_for(self.lesson)}
        expected = {*enrolled, *called, *(row.person_id for row in self.visitors if row.is_confirmed)}
        visitors = {row.person_id: (row.person, row.role) for row in self.visitors}
        enrolled = visitors | called | enrolled
        visited = {pk: (row.person, row.role) for pk, row in self.attendance.items() if pk not in enrolled}
        ticked = self._ticked(expected)
        asked = [*enrolled.values(), *visited.values()]
        names = names_on_lists(person for person, _ in asked)
        return [Dancer(person, names[person.pk], role, person.pk in ticked) for person, role in asked]

    @property
    def groups(self) -> list[tuple[str, list[Dancer]]]:
        """Dancers by role on the floor, leaders first."""
        roles = (FloorRole.LEADER.value, FloorRole.FOLLOWER.value, "")
        by_role = [(role_words(role), [who for who in self.dancers if who.role == role]) for role in roles]
        return [(words, dancers) for words, dancers in by_role if dancers]

    @cached_property
    def rest(self) -> RestForm:
        levels = [level.rank for level in self.lesson.course.levels.all()]
        shown = [row.figure.pk for row in self.rows]
        figures = Figure.objects.filter(
            dance=self.lesson.course.dance_id, level__rank__lte=max(levels, default=0)
        ).exclude(pk__in=shown)
        guests = self.record.unnamed_guests if self.record else 0
        return RestForm(
            self.data if self.data is None else _without_extra(self.data),
            people=[(who.person.pk, who.called) for who in self.dancers],
            figures=figures.in_teaching_order(),
            initial={"unnamed_guests": guests, "note": self.record.note if self.record else ""},
        )

    @property
    def is_fresh(self) -> bool:
        """Nothing is recorded yet and nothing was typed: the form stands as planned."""
        return self.data is None and self.record is None

    @property
    def version(self) -> int | None:
        """Of the record the writer is looking at; None for a first one."""
        if self.data is not None and self.theirs is None:
            return whole_number(self.data.get("version"))
        return self.record.version if self.record else None

    @cached_property
    def submission(self) -> uuid.UUID | None:
        """What the sending device calls this sending; None for a plain form."""
        try:
            return uuid.UUID(self.data.get("submission", "")) if self.data is not None else None
        except ValueError:
            return None

    def was_sent(self) -> bool:
        """Whether this very sending is written already. Raises ValidationError if for another lesson."""
        return self.submission is not None and was_sent(self.submission, self.lesson)

    @property
    def asks_early(self) -> str:
        """Why the form asks whether the lesson has taken place already: its hour has not come, and nobody has
        recorded it yet."""
        return not_begun(self.lesson) if not self.record and now() < self.lesson.begins else ""

    @property
    def chosen(self) -> int | None:
        """The figure (pk) chosen from the list of others, and not in the form yet."""
        said = self.data.get("extra", "") if self.data is not None else ""
        return whole_number(said) if said and said not in self.data.getlist("figures") else None

    @property
    def wants_to_add(self) -> bool:
        return self.data is not None and "add" in self.data

    @property
    def nothing_to_add(self) -> bool:
        return self.wants_to_add and not any(row.is_added for row in self.rows)

    @property
    def wrongs(self) -> list[tuple[str, str]]:
        """What keeps the form from being recorded: (where it stands in the page, sentence)."""
        if self.data is None or self.wants_to_add:
            return []
        rows = [
            (row.place, f"{row.figure.name}: {sentence}")
            for row in self._bound_rows()
            for sentence in row.wrongs
        ]
        rest = [
            (self.rest[name].auto_id, sentence)
            for name, sentences in self.rest.errors.items()
            for sentence in sentences
        ]
        refusals = () if self.theirs else self.refusals
        return [*rows, *rest, *(("record", sentence) for sentence in refusals)]

    def is_valid(self) -> bool:
        return all([self.rest.is_valid(), *(row.form.is_valid() for row in self._bound_rows())])

    def save(self, *, by: Person) -> LessonRecord:
        """Raises Overtaken, or ValidationError for a lesson that cannot be recorded."""
        there = set(self.rest.cleaned_data["present"])
        return write_record(
            lesson=self.lesson,
            version=self.version,
            outcomes={row.figure: row.form.happened for row in self._bound_rows() if row.form.was_done},
            present={who.person: who.role for who in self.dancers if who.person.pk in there},
            unnamed_guests=self.rest.cleaned_data["unnamed_guests"],
            note=self.rest.cleaned_data["note"],
            by=by,
            submission=self.submission,
            early=self.rest.cleaned_data["early"],
        )

    def refuse(self, error: ValidationError) -> None:
        if getattr(error, "code", None) == NOT_BEGUN:
            self.rest.add_error("early", error)
        else:
            self.refusals.extend(error.messages)

    def show_both(self, sentence: str) -> RecordSheet:
        """The same form again, with what the other writer recorded beside what was typed here."""
        both = RecordSheet(self.lesson, self.data, [sentence])
        both.theirs = both.record
        return both

    def _bound_rows(self) -> list[OutcomeRow]:
        return [row for row in self.rows if row.form.is_bound]

    def _row(self, figure: Figure, item: Planned | None) -> OutcomeRow:
        how = item.how if item else EXTRA
        recorded = self.recorded.get(figure.pk)
        prefix = f"figure-{figure.pk}"
        initial = as_planned(item) if item else self._as_added(figure)
        if item and (item.how, item.key) in self.left_out:
            initial = {"outcome": Outcome.NOT_REACHED}
        if recorded:
            initial = as_recorded(recorded)
        form = OutcomeForm(how, self._typed(figure, prefix, initial), prefix=prefix, initial=initial)
        added = self.wants_to_add and figure.pk == self.chosen
        return OutcomeRow(figure, how, form, item, recorded if self.theirs else None, added)

    def _typed(self, figure: Figure, prefix: str, initial: dict[str, Any]) -> Mapping[str, Any] | None:
        """What was posted of the figure; of one just asked for, what it is added as. One chosen and left
        standing in the list of others has nothing said of it yet: its row asks."""
        if self.data is None or figure.pk not in self.posted:
            return None
        if str(figure.pk) in self.data.getlist("figures"):
            return self.data
        if not self.wants_to_add:
            return {}
        return {f"{prefix}-{name}": value for name, value in initial.items()}

    def _as_added(self, figure: Figure) -> dict[str, Any]:
        """A figure done though not planned: again, if the course knew it, else new."""
        knew = figure.pk in self.tonight.known or figure.pk in self.tonight.taught
        return {"outcome": Outcome.REVIEWED if knew else Outcome.INTRODUCED}

    def _ticked(self, enrolled: set[int]) -> set[int]:
        if self.data is not None:
            return set(whole_numbers(self.data.getlist("present")))
        return set(self.attendance) if self.record else enrolled


def _without_extra(data: QueryDict) -> QueryDict:
    """The figure asked for has become a row: the list offers the next one."""
    data = data.copy()
    data["extra"] = ""
    return data
