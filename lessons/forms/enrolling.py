"""The form by which somebody is enrolled, alone or as a couple: sought by name, not in a list of all."""

from __future__ import annotations

from typing import Any

from django import forms

from curriculum.models import FloorRole
from lessons.forms.terms import day_input
from lessons.models import Course
from lessons.problems.wording import spoken_day
from school.clock import today
from school.models import Person
from school.people_search import find_people
from school.plain_forms import PlainWords, ReadFirst

# More than these are too many to choose among: a second name is asked for.
MOST_SHOWN = 12


class EnrolForm(ReadFirst, PlainWords, forms.Form):
    """`who` and `with_partner` are words of a name; where several people have them, `person` and `partner`
    come up as a choice among those."""

    who = forms.CharField(
        label="Who",
        max_length=120,
        error_messages={"required": "Write a name, or a part of it."},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    person = forms.ModelChoiceField(
        Person.objects.none(),
        label="Which of them",
        required=False,
        widget=forms.RadioSelect,
        empty_label=None,
    )
    role = forms.ChoiceField(choices=FloorRole.choices, label="Dances as")
    dances_both = forms.BooleanField(label="dances both roles", required=False)
    with_partner = forms.CharField(
        label="Together with",
        required=False,
        max_length=120,
        help_text="A couple comes in together, in the two roles, or waits together.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    partner = forms.ModelChoiceField(
        Person.objects.none(),
        label="Which partner",
        required=False,
        widget=forms.RadioSelect,
        empty_label=None,
    )
    joined = forms.DateField(label="From", required=False, widget=day_input(), help_text="Empty: from today.")

    def __init__(self, *args: Any, course: Course, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.course = course
        inside = course.enrolments.filter(left__isnull=True).values("person")
        self.free = Person.objects.filter(is_active=True).exclude(pk__in=inside)
        # Whoever is chosen among several needs no name any more.
        self.fields["who"].required = not self.data.get(self.add_prefix("person"))
        for name in ("person", "partner"):
            self.fields[name].queryset = self.free
            if not self.data.get(self.add_prefix(name)):
                self.fields[name].widget = forms.HiddenInput()

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if "who" in data and "person" in data and not data["person"]:
            data["person"] = self._one_of_name("who", "person")
        if data.get("with_partner") and "partner" in data and not data["partner"]:
            data["partner"] = self._one_of_name("with_partner", "partner")
        if data.get("partner") and data["partner"] == data.get("person"):
            self.add_error("with_partner", "This is the same person. A couple is two.")
        return data

    def _one_of_name(self, words_in: str, chosen_in: str) -> Person | None:
        """The one free person of that name; else None, with a sentence and, of several, the choice. One
        query."""
        words = self.cleaned_data.get(words_in, "").strip()
        found = list(find_people(words, among=self.free.order_by("name", "pk"))[: MOST_SHOWN + 1])
        if len(found) == 1:
            return found[0]
        if not found:
            self.add_error(words_in, "Nobody of this name is free to join. Look on the page People.")
        elif len(found) > MOST_SHOWN:
            self.add_error(
                words_in, f"More than {MOST_SHOWN} people have this in their name. Write more of it."
            )
        else:
            choice = self.fields[chosen_in]
            choice.widget = forms.RadioSelect()
            choice.choices = [
                (person.pk, f"{person} ({person.username}{', under 18' if person.is_minor else ''})")
                for person in found
            ]
            self.add_error(chosen_in, "Several people have this in their name. Choose one.")
        return None

    def _too_late(self) -> list[str]:
        until = self.course.newcomers_until
        joined = self.cleaned_data["joined"] or max(today(), self.course.term.first_day)
        if until is None or not until < joined <= self.course.term.last_day:
            return []
        return [f"Newcomers may join {self.course} until {spoken_day(until)}. This is later."]

    def follows(self) -> list[str]:
        """What to read before somebody is enrolled; nothing where nothing is odd about it. One query."""
        coming = [self.cleaned_data["person"], self.cleaned_data.get("partner")]
        teaching = self.course.courseinstructor_set.filter(person__in=[one for one in coming if one])
        return self._too_late() + [
            f"{row.person} teaches this course. Enrolled, {row.person.first_name} also takes a place in it."
            for row in teaching.select_related("person").order_by("pk")
        ]
