"""Changes to one lesson: cancel it, let it take place after all, move it, give it to somebody else."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from lessons.models import LessonSession
from lessons.people.free_to_cover import Candidate
from school.models import Person, Room
from school.plain_forms import CHOOSE, PlainWords, ReadFirst
from school.second_writer import BeganFrom, mark_of


class CancelForm(PlainWords, forms.Form):
    because = forms.CharField(
        label="Why",
        max_length=200,
        help_text="Students read it beside “no class”.",
    )


class RestoreForm(forms.Form):
    """Nothing to fill in: what is refused stands over it."""


class MoveForm(BeganFrom, ReadFirst, PlainWords, forms.Form):
    date = forms.DateField(label="Date", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    start = forms.TimeField(label="Start", widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"))
    room = forms.ModelChoiceField(label="Room", queryset=Room.objects.all(), empty_label=None)

    def __init__(self, lesson: LessonSession, data: Any = None) -> None:
        super().__init__(data)
        self.begin_from(self.as_typed(lesson))

    @staticmethod
    def as_typed(lesson: LessonSession) -> dict[str, Any]:
        return {"date": lesson.date, "start": lesson.start, "room": lesson.room_id}


class GiveForm(BeganFrom, PlainWords, forms.Form):
    """`candidates`: whom it can be given to, who is free first."""

    to = forms.ModelChoiceField(label="To", queryset=Person.objects.none())

    def __init__(self, lesson: LessonSession, data: Any = None, *, candidates: Sequence[Candidate]) -> None:
        super().__init__(data)
        self.fields["to"].queryset = Person.objects.instructors()
        free = [(one.person.pk, one.person.name) for one in candidates if not one.hindered]
        others = [(one.person.pk, f"{one.person.name}: {one.hindered}") for one in candidates if one.hindered]
        groups = [(words, group) for words, group in (("Free then", free), ("Not free", others)) if group]
        self.fields["to"].choices = [("", CHOOSE), *groups]
        self.initial["began_from"] = mark_of(self.as_typed(lesson))

    @staticmethod
    def as_typed(lesson: LessonSession) -> dict[str, Any]:
        """To whom it is given by now. One query."""
        named = lesson.lessoninstructor_set.order_by("pk").values_list("person", flat=True)
        return {"to": named.first()}
