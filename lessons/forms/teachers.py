"""Forms to say who is away, and who does not teach what."""

from __future__ import annotations

from typing import Any

from django import forms

from curriculum.models import Dance, Figure, Level
from lessons.forms.terms import day_input
from school.models import Person
from school.plain_forms import FocusWhereWrong, PlainWords

Choices = list[tuple[str, list[tuple[str, str]]]]


class AwayForm(FocusWhereWrong, PlainWords, forms.Form):
    person = forms.ModelChoiceField(label="Who", queryset=Person.objects.none())
    first_day = forms.DateField(label="First day away", widget=day_input())
    last_day = forms.DateField(label="Last day away", widget=day_input())

    def __init__(self, data: Any = None) -> None:
        super().__init__(data, prefix="away")
        self.fields["person"].queryset = Person.objects.who_teach().order_by("name")


class TeachesNotForm(FocusWhereWrong, PlainWords, forms.Form):
    person = forms.ModelChoiceField(label="Who", queryset=Person.objects.none())
    what = forms.ChoiceField(
        label="Does not teach", help_text="A whole dance, one of its levels, or a figure."
    )

    def __init__(self, data: Any = None) -> None:
        super().__init__(data, prefix="not")
        self.fields["person"].queryset = Person.objects.who_teach().order_by("name")
        self.fields["what"].choices = [("", "choose"), *_everything_taught()]

    def subject(self) -> dict[str, Any]:
        """The dance, level and figure that were chosen, as `say_teaches_not` takes them."""
        kind, _, key = self.cleaned_data["what"].partition(":")
        if kind == "dance":
            return {"dance": Dance.objects.get(pk=key)}
        if kind == "level":
            level = Level.objects.select_related("dance").get(pk=key)
            return {"dance": level.dance, "level": level}
        figure = Figure.objects.select_related("dance").get(pk=key)
        return {"dance": figure.dance, "figure": figure}


def _everything_taught() -> Choices:
    """Under each dance: all of it, its levels, its figures. Three queries."""
    dances = {dance.pk: (dance.name, [(f"dance:{dance.pk}", f"all of {dance.name}")]) for dance in
              Dance.objects.order_by("name")}  # fmt: skip
    for level in Level.objects.order_by("dance", "rank"):
        dances[level.dance_id][1].append((f"level:{level.pk}", f"level: {level.name}"))
    for figure in Figure.objects.in_teaching_order():
        dances[figure.dance_id][1].append((f"figure:{figure.pk}", figure.name))
    return list(dances.values())
