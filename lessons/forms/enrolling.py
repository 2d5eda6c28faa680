"""The form by which somebody is enrolled in a course."""

from __future__ import annotations

from collections import Counter
from typing import Any

from django import forms

from curriculum.models import FloorRole
from lessons.forms.terms import day_input
from lessons.models import Course
from school.models import Person
from school.plain_forms import PlainWords, ReadFirst


class EnrolForm(ReadFirst, PlainWords, forms.Form):
    person = forms.ModelChoiceField(Person.objects.none(), label="Who")
    role = forms.ChoiceField(choices=FloorRole.choices, label="Dances as")
    dances_both = forms.BooleanField(label="dances both roles", required=False)
    joined = forms.DateField(label="From", required=False, widget=day_input(), help_text="Empty: from today.")

    def __init__(self, *args: Any, course: Course, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.course = course
        inside = course.enrolments.filter(left__isnull=True).values("person")
        people = Person.objects.filter(is_active=True).exclude(pk__in=inside).order_by("name")
        self.fields["person"].queryset = people
        self.fields["person"].choices = [("", "choose"), *_told_apart(list(people))]

    def follows(self) -> list[str]:
        """What to read before somebody is enrolled; nothing where nothing is odd about it. One query."""
        person = self.cleaned_data["person"]
        if self.course.courseinstructor_set.filter(person=person).exists():
            return [f"{person} teaches this course. Enrolled, {person.first_name} also takes a place in it."]
        return []


def _told_apart(people: list[Person]) -> list[tuple[int, str]]:
    """Names; where two are the same, with the name they sign in with."""
    names = Counter(person.name.casefold() for person in people)
    return [
        (
            person.pk,
            f"{person.name} ({person.username})" if names[person.name.casefold()] > 1 else person.name,
        )
        for person in people
    ]
