"""Changes to one lesson: cancel it, let it take place after all, move it, give it to somebody else."""

from __future__ import annotations

from typing import Any

from django import forms

from lessons.models import LessonSession
from school.models import Person, Room
from school.plain_forms import PlainWords, ReadFirst


class CancelForm(PlainWords, forms.Form):
    because = forms.CharField(
        label="Why",
        max_length=200,
        help_text="Students read it beside “no class”.",
    )


class RestoreForm(forms.Form):
    """Nothing to fill in: what is refused stands over it."""


class MoveForm(ReadFirst, PlainWords, forms.Form):
    date = forms.DateField(label="Date", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    start = forms.TimeField(label="Start", widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"))
    room = forms.ModelChoiceField(label="Room", queryset=Room.objects.all(), empty_label=None)

    def __init__(self, lesson: LessonSession, data: Any = None) -> None:
        super().__init__(data, initial={"date": lesson.date, "start": lesson.start, "room": lesson.room})


class GiveForm(PlainWords, forms.Form):
    to = forms.ModelChoiceField(label="To", queryset=Person.objects.none())

    def __init__(self, data: Any = None) -> None:
        super().__init__(data)
        self.fields["to"].queryset = Person.objects.instructors()
