"""Forms for days without class."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from lessons.actions.reopening import ComesBack
from lessons.forms.terms import day_input, require_order
from school.models import Closure
from school.plain_forms import PlainWords, ReadFirst
from school.second_writer import OneRow


class ClosureForm(OneRow, ReadFirst, PlainWords, forms.ModelForm):
    class Meta:
        model = Closure
        fields = ["first_day", "last_day", "reason", "room"]
        widgets = {"first_day": day_input(), "last_day": day_input()}
        labels = {"reason": "Why", "room": "Only in one room"}
        help_texts = {"reason": "Instructors and students read this.", "room": "None: the whole school."}

    def clean(self) -> dict[str, Any]:
        return require_order(self, super().clean() or {}, "Days without class last")


class ReopenForm(ClosureForm):
    """Days without class as they stand, to be changed. `back`: lessons that take place after all."""

    back = forms.MultipleChoiceField(
        required=False, widget=forms.CheckboxSelectMultiple, label="These take place after all"
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # What may be ticked follows from the days asked for, which are known only once they are read.
        self.fields["back"].choices = [(key, key) for key in self.data.getlist("back")] if self.data else []

    def offer(self, back: Sequence[ComesBack]) -> None:
        """Show the lessons that can come back, all ticked."""
        free = [one for one in back if not one.hindered_by]
        self.fields["back"].choices = [(one.key, one.words) for one in free]
        self.data = self.data.copy()
        self.data.setlist("back", [one.key for one in free])
