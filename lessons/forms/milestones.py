"""A milestone: by which day a routine, or a set of figures, is to be taught."""

from __future__ import annotations

from typing import Any

from django import forms

from curriculum.models import Figure, Routine
from lessons.models import Course, Milestone
from school.plain_forms import PlainWords
from school.second_writer import OneRow


class MilestoneForm(OneRow, PlainWords, forms.ModelForm):
    """`version`: of the milestone the writer was looking at; 0 for a new one."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=2**31 - 1)

    class Meta:
        model = Milestone
        fields = ("name", "day", "routine", "figures")
        labels = {
            "name": "What it is",
            "day": "By this day",
            "routine": "Routine",
            "figures": "And these figures",
        }
        help_texts = {
            "name": "A showcase, a medal test, the last night’s party.",
            "routine": "All its figures must be taught by then.",
        }
        widgets = {
            "day": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "figures": forms.CheckboxSelectMultiple,
        }

    def __init__(self, course: Course, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.instance.course = course
        self.initial["version"] = self.instance.version if self.instance.pk else 0
        self.fields["routine"].queryset = Routine.objects.filter(level__dance=course.dance_id).select_related(
            "level"
        )
        figures = Figure.objects.filter(dance=course.dance_id).select_related("level")
        self.fields["figures"].queryset = figures.in_teaching_order()
        self.fields["figures"].required = False

    def _get_validation_exclusions(self) -> set[str]:
        return {*super()._get_validation_exclusions(), "course"}
