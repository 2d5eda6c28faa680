"""Forms for a course: what it teaches, when it meets, who is in it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.forms import BaseInlineFormSet, inlineformset_factory

from curriculum.models import FloorRole, Level, Routine
from lessons.forms.terms import day_input
from lessons.models import Course, CourseGroup, Meeting
from school.models import Person


class LevelsField(forms.ModelMultipleChoiceField):
    def label_from_instance(self, obj: Level) -> str:
        return f"{obj.dance}: {obj}"


class RoutineField(forms.ModelChoiceField):
    def label_from_instance(self, obj: Routine) -> str:
        return f"{obj.level.dance}, {obj.level}: {obj}"


class ContinuesField(forms.ModelChoiceField):
    def label_from_instance(self, obj: Course) -> str:
        return f"{obj.term}: {obj}"


class CourseForm(forms.ModelForm):
    """The dance follows from the levels, which are all of one dance."""

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
        Course.objects.select_related("term").order_by("-term__first_day", "name"),
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
            "term", "name", "key", "levels", "kind", "instructors", "interval_weeks", "places_leaders",
            "places_followers", "allowed_difference", "newcomers_until", "shape", "routine", "continues",
            "group", "most_new", "new_in_last_lesson",
        ]  # fmt: skip
        widgets = {"newcomers_until": day_input()}
        labels = {"key": "Short name", "interval_weeks": "Meets every … weeks", "shape": "Shape of a lesson"}
        help_texts = {
            "shape": "Empty: the school’s usual one.",
            "key": "Up to 20 letters and digits, e.g. WB1.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["instructors"].queryset = Person.objects.instructors().order_by("name")
        if self.instance.pk:
            self.initial["levels"] = list(self.instance.levels.all())
            self.initial["instructors"] = [row.person_id for row in self.instance.courseinstructor_set.all()]
            self.fields["continues"].queryset = self.fields["continues"].queryset.exclude(pk=self.instance.pk)

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
        return cleaned

    def _refuse_other_dance(self, cleaned: dict[str, Any], field: str, dance: object) -> None:
        chosen = cleaned.get(field)
        if chosen is None:
            return
        other = chosen.level.dance if field == "routine" else chosen.dance
        if other != dance:
            self.add_error(field, f"This one is {other}; the course teaches {dance}.")


class MeetingForm(forms.ModelForm):
    class Meta:
        model = Meeting
        fields = ["weekday", "start", "minutes", "room"]
        widgets = {"start": forms.TimeInput(attrs={"type": "time"}, format="%H:%M")}
        labels = {"weekday": "Day", "start": "Begins", "minutes": "Minutes", "room": "Room"}


class MeetingsFormSet(BaseInlineFormSet):
    def clean(self) -> None:
        super().clean()
        if any(self.errors):
            return
        kept = [form for form in self.forms if form.cleaned_data and not form.cleaned_data.get("DELETE")]
        if not kept:
            raise forms.ValidationError("Say at least one day on which the course meets.")


Meetings = inlineformset_factory(
    Course, Meeting, form=MeetingForm, formset=MeetingsFormSet, extra=2, max_num=7, can_delete=True
)


class PersonField(forms.ModelChoiceField):
    def label_from_instance(self, obj: Person) -> str:
        return obj.name


class EnrolForm(forms.Form):
    person = PersonField(Person.objects.none(), label="Who")
    role = forms.ChoiceField(choices=FloorRole.choices, label="Dances as")
    dances_both = forms.BooleanField(label="dances both roles", required=False)
    joined = forms.DateField(label="From", required=False, widget=day_input(), help_text="Empty: from today.")

    def __init__(self, *args: Any, course: Course, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        inside = course.enrolments.filter(left__isnull=True).values("person")
        self.fields["person"].queryset = (
            Person.objects.filter(is_active=True).exclude(pk__in=inside).order_by("name")
        )
