"""Changes to one lesson: cancel it, move it, give it to somebody else."""

from __future__ import annotations

from typing import Any

from django import forms

from lessons.models import LessonSession
from school.models import Person, Room


class CancelForm(forms.Form):
    because = forms.CharField(
        label="Why",
        max_length=200,
        help_text="Students read it beside “no class”.",
    )


class MoveForm(forms.Form):
    """`seen`: the consequences the director was shown last, so that one that is new is shown too."""

    date = forms.DateField(label="Date", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    start = forms.TimeField(label="Start", widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"))
    room = forms.ModelChoiceField(label="Room", queryset=Room.objects.all(), empty_label=None)
    seen = forms.CharField(required=False, widget=forms.HiddenInput, max_length=2000)

    def __init__(self, lesson: LessonSession, data: Any = None) -> None:
        super().__init__(data, initial={"date": lesson.date, "start": lesson.start, "room": lesson.room})

    def has_seen(self, consequences: list[str]) -> bool:
        return self.cleaned_data["seen"] == " ".join(consequences)

    def show(self, consequences: list[str]) -> None:
        """The next time it is sent, these have been seen."""
        self.data = self.data.copy()
        self.data["seen"] = " ".join(consequences)


class GiveForm(forms.Form):
    to = forms.ModelChoiceField(label="To", queryset=Person.objects.none(), empty_label="choose")

    def __init__(self, data: Any = None) -> None:
        super().__init__(data)
        self.fields["to"].queryset = Person.objects.instructors()
