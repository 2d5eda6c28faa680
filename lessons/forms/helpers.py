"""What a helper can dance, and whom to call for a lesson."""

from __future__ import annotations

from typing import Any

from django import forms

from curriculum.models import Dance, FloorRole
from lessons.models import Helper
from lessons.models.helpers import HelperRole
from school.models import Person
from school.plain_forms import PlainWords
from school.second_writer import BeganFrom


class HelperForm(BeganFrom, PlainWords, forms.Form):
    role = forms.ChoiceField(label="Can dance as", choices=HelperRole.choices, widget=forms.RadioSelect)
    dances = forms.ModelMultipleChoiceField(
        Dance.objects.none(),
        label="Which dances",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: all of them.",
    )

    def __init__(self, data: Any = None, *, helper: Helper | None = None) -> None:
        super().__init__(data)
        self.fields["dances"].queryset = Dance.objects.order_by("name")
        self.begin_from(self.as_typed(helper))

    @staticmethod
    def as_typed(helper: Helper | None) -> dict[str, Any]:
        """What the form shows of a helper, or of somebody who is none yet. One query."""
        if helper is None:
            return {"role": HelperRole.EITHER.value, "dances": []}
        return {"role": helper.role, "dances": list(helper.dances.values_list("pk", flat=True))}


class CallForm(forms.Form):
    """One of the buttons of the list: whom, and as what."""

    person = forms.ModelChoiceField(Person.objects.none())
    role = forms.ChoiceField(choices=FloorRole.choices)

    def __init__(self, data: Any) -> None:
        super().__init__(data)
        self.fields["person"].queryset = Person.objects.filter(helper__isnull=False, is_active=True)
