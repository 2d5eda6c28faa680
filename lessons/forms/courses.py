"""Forms for a course: what it teaches, when it meets."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cached_property
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.forms import BaseInlineFormSet, inlineformset_factory

from curriculum.models import Level, Routine
from lessons.actions.course_set_up import MeetingsAsked
from lessons.forms.terms import day_input
from lessons.models import Course, CourseGroup, Meeting
from lessons.problems.wording import spoken_day
from school.clock import today
from school.models import Person, Term
from school.plain_forms import NOTHING, PlainWords, ReadFirst


def _offer_by_dance(
    field: forms.ModelChoiceField, rows: QuerySet[Any], dance_of: Callable[[Any], str]
) -> None:
    """The choices in groups, a dance each: one does not have to read the others to find one's own."""
    field.queryset = rows
    groups: dict[str, list[tuple[int, str]]] = {}
    for row in rows:
        groups.setdefault(dance_of(row), []).append((row.pk, field.label_from_instance(row)))
    field.choices = [("", field.empty_label), *sorted(groups.items())]


def _flat(choices: Iterable[tuple[Any, Any]]) -> Iterator[tuple[str, str]]:
    for value, label in choices:
        if isinstance(label, (list, tuple)):
            yield from _flat(label)
        else:
            yield str(value), str(label)


class LevelsField(forms.ModelMultipleChoiceField):
    def label_from_instance(self, obj: Level) -> str:
        return f"{obj.dance}: {obj}"


class RoutineField(forms.ModelChoiceField):
    def label_from_instance(self, obj: Routine) -> str:
        return f"{obj.level.dance}, {obj.level}: {obj}"


class ContinuesField(forms.ModelChoiceField):
    def label_from_instance(self, obj: Course) -> str:
        return f"{obj.term}: {obj}"


class CourseForm(ReadFirst, PlainWords, forms.ModelForm):
    """The dance follows from the levels, which are all of one dance.

    `version`: the course's, as the reader found it; `move_lessons` is shown where a meeting has changed.
    """

    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    move_lessons = forms.BooleanField(
        required=False,
        label="Move the lessons to come as well",
        help_text="Without the tick they stay where they are, and only the course’s own day and hour change.",
    )
    levels = LevelsField(
        Level.objects.select_related("dance").order_by("dance__name", "rank"),
        widget=forms.CheckboxSelectMultiple,
        label="Dance and level",
        help_text="More than one level only where one group learns both.",
        error_messages={"required": "Choose at least one level."},
    )
    instructors = forms.ModelMultipleChoiceField(
        Person.objects.none(), widget=forms.CheckboxSelectMultiple, required=False, label="Who teaches it"
    )
    routine = RoutineField(
        Routine.objects.select_related("level__dance").order_by("level__dance__name", "level__rank", "name"),
        required=False,
        label="Routine",
        help_text="What the course learns to dance through.",
    )
    continues = ContinuesField(
        Course.objects.select_related("term", "dance").order_by("-term__first_day", "name"),
        required=False,
        label="Goes on from",
        help_text="The course before it: what was recorded there is known here.",
    )
    group = forms.ModelChoiceField(
        CourseGroup.objects.all(),
        required=False,
        label="Parallel courses",
        help_text="Courses of one group stay in step, so that a missed lesson can be made up in the other.",
    )

    class Meta:
        model = Course
        fields = [
            "term", "name", "key", "levels", "kind", "instructors", "first_lesson", "interval_weeks",
            "places_leaders", "places_followers", "allowed_difference", "newcomers_until", "shape", "routine",
            "continues", "group", "most_new", "new_in_last_lesson", "plan_open",
        ]  # fmt: skip
        widgets = {"newcomers_until": day_input(), "first_lesson": day_input()}
        labels = {
            "first_lesson": "First lesson on or after",
            "key": "Short name",
            "interval_weeks": "Meets every … weeks",
            "shape": "Shape of a lesson",
        }
        help_texts = {
            "shape": "Empty: the school’s usual one.",
            "key": "Up to 20 letters and digits, e.g. WB1.",
            "first_lesson": "Empty: from the term’s first day. No lesson is laid out before it.",
            "most_new": "Empty: as the level says.",
            "plan_open": "Without the tick they read what was taught, and of the rest only its names.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["instructors"].queryset = Person.objects.instructors().order_by("name")
        routines, before = self.fields["routine"].queryset, self.fields["continues"].queryset
        if self.instance.pk:
            self.initial["version"] = self.instance.version
            self.initial["levels"] = list(self.instance.levels.all())
            self.initial["instructors"] = [row.person_id for row in self.instance.courseinstructor_set.all()]
            routines = routines.filter(level__dance=self.instance.dance_id)
            before = before.filter(dance=self.instance.dance_id).exclude(pk=self.instance.pk)
        else:
            self._begin_today(self.initial.get("term"))
        _offer_by_dance(self.fields["routine"], routines, lambda routine: str(routine.level.dance))
        _offer_by_dance(self.fields["continues"], before, lambda course: str(course.dance))

    def _begin_today(self, term: Term | None) -> None:
        """A course made in the middle of a term has not met before today."""
        if term and term.first_day < today() <= term.last_day:
            self.initial["first_lesson"] = today()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        dances = {level.dance for level in cleaned.get("levels", ())}
        if len(dances) > 1:
            self.add_error("levels", "A course teaches one dance. Choose levels of one dance only.")
            return cleaned
        for dance in dances:
            self.instance.dance = dance
            self._refuse_other_dance(cleaned, "routine", dance)
            self._refuse_other_dance(cleaned, "continues", dance)
        if term := cleaned.get("term"):
            self._refuse_in_term(cleaned, term)
        return cleaned

    def _refuse_in_term(self, cleaned: dict[str, Any], term: Term) -> None:
        same = Course.objects.filter(term=term, key=cleaned.get("key")).exclude(pk=self.instance.pk)
        if other := same.first():
            self.add_error("key", f"{other.name} has this short name already in {term}. Choose another.")
        for field in ("first_lesson", "newcomers_until"):
            day = cleaned.get(field)
            if day and not term.first_day <= day <= term.last_day:
                runs = f"{spoken_day(term.first_day)} to {spoken_day(term.last_day)}"
                self.add_error(field, f"{spoken_day(day)} lies outside {term}, which runs from {runs}.")

    def ask(self, consequences: Sequence[str], *, move: bool) -> None:
        """Show what follows; the lessons to come move along unless the director takes the tick away."""
        self.show(consequences)
        if move:
            self.put("move_lessons", "on")

    def overtake(self, version: int) -> None:
        """Say what was saved in the meantime and differs from what stands here, which can then be saved over
        it by somebody who knows."""
        differs = [
            f"{self[name].label}: saved is {self._saved(name)}."
            for name in self.changed_data
            if name in self._meta.fields
        ]
        self.add_error(
            None,
            [
                "Somebody else changed this course while you had it open. Nothing of yours is saved yet, and "
                "nothing you typed is lost.",
                *differs,
                "Save again to let what stands here hold.",
            ],
        )
        self.put("version", str(version))

    def _saved(self, name: str) -> str:
        """The value a field has in the database, in words."""
        field, value = self.fields[name], self.get_initial_for_field(self.fields[name], name)
        if isinstance(field, forms.BooleanField):
            return "yes" if value else "no"
        chosen = value if isinstance(value, list) else [value]
        choices = dict(_flat(getattr(field, "choices", ())))
        words = [
            choices.get(str(getattr(one, "pk", one)), str(one)) for one in chosen if one not in (None, "")
        ]
        return ", ".join(words) or NOTHING

    def _refuse_other_dance(self, cleaned: dict[str, Any], field: str, dance: object) -> None:
        chosen = cleaned.get(field)
        if chosen is None:
            return
        other = chosen.level.dance if field == "routine" else chosen.dance
        if other != dance:
            self.add_error(field, f"This one is {other}; the course teaches {dance}.")


class MeetingForm(PlainWords, forms.ModelForm):
    class Meta:
        model = Meeting
        fields = ["weekday", "start", "minutes", "room"]
        widgets = {"start": forms.TimeInput(attrs={"type": "time"}, format="%H:%M")}
        labels = {"weekday": "Day", "start": "Begins", "minutes": "Minutes", "room": "Room"}


# A course that meets every day, and as many lines again for a day on which it meets twice.
MOST_MEETINGS = 14


class MeetingsFormSet(BaseInlineFormSet):
    default_error_messages = {
        "too_many_forms": f"A course meets {MOST_MEETINGS} times a week at most. Only the first stand here."
    }

    def clean(self) -> None:
        super().clean()
        if any(self.errors):
            return
        kept = [form for form in self.forms if form.cleaned_data and not form.cleaned_data.get("DELETE")]
        if not kept:
            raise forms.ValidationError("Say at least one day on which the course meets.")

    def get_unique_error_message(self, unique_check: Sequence[str]) -> str:
        return "Two of these are on the same day at the same hour."

    @cached_property
    def shown(self) -> list[forms.ModelForm]:
        """Those that stand open: every meeting there is, and at least one to fill in."""
        return [form for number, form in enumerate(self.forms) if form in self.initial_forms or not number]

    @cached_property
    def folded(self) -> list[forms.ModelForm]:
        return [form for form in self.forms if form not in self.shown]

    @property
    def is_unfolded(self) -> bool:
        """Something has been typed where nothing stood."""
        return self.is_bound and any(form.has_changed() for form in self.folded)

    def asked(self) -> MeetingsAsked:
        """What a valid formset asks for. One query where a meeting has changed."""
        kept = [form for form in self.forms if form.cleaned_data and not form.cleaned_data.get("DELETE")]
        changed = [form.instance for form in kept if form.instance.pk and form.has_changed()]
        before = Meeting.objects.in_bulk([meeting.pk for meeting in changed])
        return MeetingsAsked(
            everything=tuple(form.instance for form in kept),
            added=tuple(form.instance for form in kept if form.instance.pk is None),
            changed=tuple((before[meeting.pk], meeting) for meeting in changed if meeting.pk in before),
        )


Meetings = inlineformset_factory(
    Course,
    Meeting,
    form=MeetingForm,
    formset=MeetingsFormSet,
    extra=2,
    max_num=MOST_MEETINGS,
    absolute_max=MOST_MEETINGS,
    validate_max=True,
    can_delete=True,
)
