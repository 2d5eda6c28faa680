"""The form by which somebody is enrolled, alone or as a couple: sought by name, not in a list of all."""

from __future__ import annotations

from typing import Any

from django import forms

from curriculum.models import FloorRole
from lessons.forms.by_name import MOST_SHOWN, SoughtByName, choice_field, name_field
from lessons.forms.terms import day_input
from lessons.models import Course
from lessons.problems.wording import spoken_day, spoken_list
from school.clock import today
from school.models import Person
from school.people_search import find_people
from school.plain_forms import FocusWhereWrong, PlainWords, ReadFirst

NOBODY = "Nobody of this name is free to join. Look on the page People."


class EnrolForm(FocusWhereWrong, ReadFirst, PlainWords, SoughtByName):
    """`who` and `with_partner` are words of a name; where several people have them, `person` and `partner`
    come up as a choice among those."""

    who = name_field("Who")
    person = choice_field("Which of them")
    role = forms.ChoiceField(choices=FloorRole.choices, label="Dances as")
    dances_both = forms.BooleanField(label="dances both roles", required=False)
    with_partner = name_field(
        "Together with",
        required=False,
        help_text="A couple comes in together, in the two roles, or waits together.",
    )
    partner = choice_field("Which partner")
    joined = forms.DateField(label="From", required=False, widget=day_input(), help_text="Empty: from today.")

    def __init__(self, *args: Any, course: Course, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.course = course
        inside = course.enrolments.filter(left__isnull=True).values("person")
        free = Person.objects.filter(is_active=True).exclude(pk__in=inside)
        self.seek("who", "person", free)
        self.seek("with_partner", "partner", free)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if "who" in data and "person" in data and not data["person"]:
            data["person"] = self.one_of_name("who", "person", nobody=self._why_nobody)
        if data.get("with_partner") and "partner" in data and not data["partner"]:
            data["partner"] = self.one_of_name("with_partner", "partner", nobody=self._why_nobody)
        if data.get("partner") and data["partner"] == data.get("person"):
            self.add_error("with_partner", "This is the same person. A couple is two.")
        return data

    def _why_nobody(self, words: str) -> str:
        """Nobody free has these words in their name: perhaps because they are in the course. One query."""
        inside = self.course.enrolments.filter(left__isnull=True).values("person")
        found = find_people(words, among=Person.objects.filter(pk__in=inside).order_by("name", "pk"))
        if not found:
            return NOBODY
        names = spoken_list([str(person) for person in found[:MOST_SHOWN]])
        return f"{names} {'is' if len(found) == 1 else 'are'} in this course already, or waiting for a place."

    def _too_late(self) -> list[str]:
        until = self.course.newcomers_until
        joined = self.cleaned_data["joined"] or max(today(), self.course.term.first_day)
        if until is None or not until < joined <= self.course.term.last_day:
            return []
        return [f"Newcomers may join {self.course} until {spoken_day(until)}. This is later."]

    def _with_an_adult(self) -> list[str]:
        """The caution where somebody under 18 is booked as a couple with an adult: common practice, no
        source."""
        couple = [self.cleaned_data["person"], self.cleaned_data.get("partner")]
        if None in couple or couple[0].is_minor == couple[1].is_minor:
            return []
        minor, adult = sorted(couple, key=lambda person: not person.is_minor)
        return [
            f"{minor} is under 18, and {adult} is not: as a couple they dance together every evening. The "
            "guardian agrees to it first, and they are never alone. The school’s own rule and local law come "
            "first."
        ]

    def follows(self) -> list[str]:
        """What to read before somebody is enrolled; nothing where nothing is odd about it. One query."""
        coming = [self.cleaned_data["person"], self.cleaned_data.get("partner")]
        teaching = self.course.courseinstructor_set.filter(person__in=[one for one in coming if one])
        both_sides = [
            f"{row.person} teaches this course. Enrolled, {row.person.first_name} also takes a place in it."
            for row in teaching.select_related("person").order_by("pk")
        ]
        return self._too_late() + self._with_an_adult() + both_sides
