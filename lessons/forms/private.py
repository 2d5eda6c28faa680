"""Private lessons: when and with whom, on which figures; afterwards what became of them, and the homework."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from curriculum.models import Figure
from lessons.actions.private import PrivateOutcome, asks_early
from lessons.actions.records import NOT_BEGUN
from lessons.forms.by_name import SoughtByName, choice_field, name_field
from lessons.forms.terms import day_input
from lessons.models import Outcome, PrivateFigure, PrivateLesson, Wellness
from lessons.people.dancing_then import dances_then
from lessons.problems import spoken_day
from school.clock import now
from school.models import Closure, Person
from school.plain_forms import PlainWords, ReadFirst

OUTCOMES = (
    ("", "not said"),
    (Outcome.INTRODUCED, "new, and learnt"),
    (Outcome.REVIEWED, "done again"),
    (Outcome.FINISH_LATER, "to finish later"),
    (Outcome.NOT_REACHED, "not reached"),
)


class PrivateForm(ReadFirst, PlainWords, SoughtByName, forms.ModelForm):
    """An instructor gives their own; the director says who gives it. `who`: words of the person's name.

    A time that is over, or at which the person dances in a course, is asked about first.
    """

    who = name_field("Who")
    person = choice_field("Which of them")
    field_order = ["who"]

    class Meta:
        model = PrivateLesson
        fields = ["person", "role", "instructor", "date", "start", "minutes", "room", "figures"]
        labels = {"role": "Dances as", "start": "Begins at"}
        widgets = {
            "date": day_input(),
            "start": forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
            "minutes": forms.NumberInput(attrs={"inputmode": "numeric"}),
            "figures": forms.CheckboxSelectMultiple,
        }

    def __init__(self, reader: Person, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.reader = reader
        # Before what was sent is put in its place.
        self.was_over = self.instance.pk is not None and self.instance.begins <= now()
        self.was_with = self.instance.person if self.instance.person_id else None
        self.seek("who", "person", Person.objects.filter(is_active=True))
        self.fields["person"].label_from_instance = _with_age
        if self.was_with:
            self.fields["who"].initial = str(self.was_with)
        if reader.is_director:
            self.fields["instructor"].queryset = Person.objects.who_teach()
            if reader.is_instructor:
                self.fields["instructor"].initial = reader.pk
        else:
            del self.fields["instructor"]
            self.instance.instructor = reader
        self.fields["figures"].required = False
        self.fields["figures"].queryset = Figure.objects.select_related("dance", "level").order_by(
            "dance__name", "level__rank", "order", "pk"
        )

    def figures_by_level(self) -> list[tuple[str, list[tuple[Figure, bool]]]]:
        """Figures to tick, under "waltz, Beginners", each with whether it is ticked. One query."""
        ticked = {str(getattr(one, "pk", one)) for one in self["figures"].value() or ()}
        groups: dict[str, list[tuple[Figure, bool]]] = {}
        for figure in self.fields["figures"].queryset:
            group = groups.setdefault(f"{figure.dance.name}, {figure.level.name}", [])
            group.append((figure, str(figure.pk) in ticked))
        return list(groups.items())

    @property
    def to_read(self) -> tuple[str, ...]:
        """What follows from laying it on, or moving it: with somebody under 18, to a time that is over, or at
        which the person dances in a course, or on a day without class. Of a valid form; two queries."""
        return (*self._under_18(), *self._over(), *self._closed(), *self._dances_elsewhere())

    def _under_18(self) -> Iterator[str]:
        person = self.instance.person
        if person.is_minor and person != self.was_with:
            rule = (
                "never alone with an adult. Somebody responsible stays in the room, or the door stays open."
            )
            yield f"{person} is under 18: {rule}"

    def _over(self) -> Iterator[str]:
        lesson = self.instance
        if not self.was_over and lesson.begins <= now():
            yield (
                f"{spoken_day(lesson.date)}, {lesson.start:%H:%M} is over: {lesson.person.first_name} reads "
                "at once that this lesson has been given, and it waits to be written up."
            )

    def _closed(self) -> Iterator[str]:
        """A private lesson may be given when there is no class; whoever lays it on should know."""
        lesson = self.instance
        if lesson.pk and not {"date", "room"} & set(self.changed_data):
            return
        if closure := Closure.objects.on(lesson.date, lesson.room):
            yield (
                f"There is no class on {spoken_day(lesson.date)}: {closure.reason}. "
                "Lay it on all the same only if you can get in."
            )

    def _dances_elsewhere(self) -> Iterator[str]:
        """Nothing of what was read before and stands as it was."""
        lesson = self.instance
        is_other = lesson.person != self.was_with
        if lesson.pk and not is_other and not {"date", "start", "minutes"} & set(self.changed_data):
            return
        for other in dances_then(lesson.person, lesson.date, lesson.start, lesson.minutes):
            yield (
                f"{lesson.person.first_name} dances in {other.course} then: {spoken_day(other.date)}, "
                f"{other.start:%H:%M} to {other.end:%H:%M}. Lay it on all the same only if they miss that "
                "lesson, or a part of it."
            )

    def add_error(self, field: str | None, error: Any) -> None:
        """What is said of the person stands where they were named."""
        is_named = isinstance(self.fields["person"].widget, forms.HiddenInput)
        super().add_error("who" if field == "person" and is_named else field, error)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if "who" in cleaned and "person" in cleaned and not cleaned["person"]:
            cleaned["person"] = self._of_that_name(cleaned["who"])
        given_by = cleaned.get("instructor", self.reader if "instructor" not in self.fields else None)
        if given_by and cleaned.get("person") == given_by:
            self.add_error("person", "Nobody gives themselves a lesson.")
        return cleaned

    def _of_that_name(self, words: str) -> Person | None:
        """Left as it was it is the same person, whoever else is called so."""
        if self.was_with and words == str(self.was_with):
            return self.was_with
        return self.one_of_name(
            "who", "person", nobody=lambda _: "Nobody at the school has this in their name."
        )


class PrivateFigureForm(PlainWords, forms.Form):
    """What became of one figure."""

    outcome = forms.ChoiceField(label="What we did", choices=OUTCOMES, required=False)
    went = forms.ChoiceField(
        label="How it went", choices=[("", "not said"), *Wellness.choices], required=False
    )
    note = forms.CharField(label="Note", max_length=300, required=False)

    def __init__(self, row: PrivateFigure, data: Any = None) -> None:
        initial = {"outcome": row.outcome, "went": row.went, "note": row.note}
        super().__init__(data, initial=initial, prefix=f"figure-{row.figure_id}")
        self.row = row
        # "not said" is a word of its own here, not an empty choice.
        self.fields["outcome"].choices = OUTCOMES
        self.fields["went"].choices = [("", "not said"), *Wellness.choices]

    @property
    def happened(self) -> PrivateOutcome:
        data = self.cleaned_data
        went = "" if data["outcome"] in ("", Outcome.NOT_REACHED) else data["went"]
        return data["outcome"], went, data["note"]


class HomeworkForm(PlainWords, forms.Form):
    """early: asked for before the lesson's hour only."""

    homework = forms.CharField(
        label="Homework",
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="They read it on their own page.",
    )
    early = forms.BooleanField(label="It has taken place already", required=False)


class PrivateRecord:
    """The record of one private lesson as a form: a row a figure, and the homework."""

    def __init__(self, lesson: PrivateLesson, rows: Sequence[PrivateFigure], data: Any = None) -> None:
        self.rows = [PrivateFigureForm(row, data) for row in rows]
        self.rest = HomeworkForm(data, initial={"homework": lesson.homework})
        self.asks_early = asks_early(lesson)
        if not self.asks_early:
            del self.rest.fields["early"]

    def is_valid(self) -> bool:
        return all([self.rest.is_valid(), *(row.is_valid() for row in self.rows)])

    @property
    def outcomes(self) -> dict[int, PrivateOutcome]:
        return {row.row.figure_id: row.happened for row in self.rows}

    @property
    def homework(self) -> str:
        return self.rest.cleaned_data["homework"]

    @property
    def early(self) -> bool:
        return self.rest.cleaned_data.get("early", False)

    def refuse(self, error: ValidationError) -> list[str]:
        """At the tick where that is what is missing; else the sentences to show over the form."""
        if getattr(error, "code", None) != NOT_BEGUN or "early" not in self.rest.fields:
            return error.messages
        self.rest.add_error("early", error.messages)
        return []


def _with_age(person: Person) -> str:
    """The name, and that somebody is under 18, for then the house rule applies."""
    return f"{person} (under 18)" if person.is_minor else str(person)
