"""What kind of lesson, and who of several instructors shows and leads."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from lessons.models import LessonKind, LessonSession, TeachingPair
from school.models import Person
from school.plain_forms import PlainWords
from school.second_writer import BeganFrom


class KindForm(BeganFrom, PlainWords, forms.Form):
    kind = forms.ChoiceField(label="Kind of lesson", choices=LessonKind, widget=forms.RadioSelect)

    def __init__(self, lesson: LessonSession, data: Any = None) -> None:
        super().__init__(data)
        self.begin_from(self.as_typed(lesson))

    @staticmethod
    def as_typed(lesson: LessonSession) -> dict[str, Any]:
        return {"kind": lesson.kind}


class TeachingPairForm(BeganFrom, PlainWords, forms.Form):
    """Only those in front of the lesson can be chosen."""

    shows = forms.ModelChoiceField(label="Shows", queryset=Person.objects.none(), empty_label="choose")
    leads = forms.ModelChoiceField(
        label="Leads",
        queryset=Person.objects.none(),
        empty_label="choose",
        help_text="Where both dance it; the other follows.",
    )

    def __init__(self, lesson: LessonSession, in_front: Sequence[Person], data: Any = None) -> None:
        super().__init__(data)
        self.begin_from(self.as_typed(lesson))
        for name in ("shows", "leads"):
            self.fields[name].queryset = Person.objects.filter(pk__in=[person.pk for person in in_front])

    @staticmethod
    def as_typed(lesson: LessonSession) -> dict[str, Any]:
        """What the form shows of a lesson. One query."""
        pair = TeachingPair.objects.filter(lesson=lesson).first()
        return {"shows": pair and pair.shows_id, "leads": pair and pair.leads_id}
