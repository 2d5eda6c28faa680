"""What is said of a chart beside its grid: its name, a note, and the ways that are danced so."""

from __future__ import annotations

from typing import Any

from django import forms

from curriculum.models import Figure, Passage, StepChart
from curriculum.stance_words import way_words
from school.plain_forms import PlainWords


class _Ways(forms.ModelMultipleChoiceField):
    def label_from_instance(self, passage: Passage) -> str:
        start, _ = way_words(passage, passage.figure.dance)
        return f"{passage.label or 'the whole'}: starts {start}"


class ChartForm(PlainWords, forms.Form):
    """`version` is the figure's when the form was opened."""

    name = forms.CharField(
        required=False,
        max_length=80,
        label="Name of the chart",
        help_text="For example whole, or 1 to 3.",
    )
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 2}))
    passages = _Ways(
        queryset=None,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="Ways that are danced so",
    )
    own_length = forms.BooleanField(
        required=False,
        label="These ways last as long as this chart, not as long as the figure",
        help_text="For a part of the figure, such as its first bar.",
    )
    rhythm = forms.ModelChoiceField(queryset=None, required=False, empty_label="choose", label="Rhythm")
    times = forms.IntegerField(required=False, min_value=1, max_value=24, label="How many times")
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, figure: Figure, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        ways = figure.passages.select_related("figure__dance", "entry_hold", "exit_hold")
        self.fields["passages"].queryset = ways
        self.fields["rhythm"].queryset = figure.dance.rhythms.prefetch_related("counts")

    @property
    def counts(self) -> list[tuple[str, int]]:
        """The counts of the rhythm that was chosen, as often as was asked."""
        rhythm = self.cleaned_data.get("rhythm")
        if rhythm is None:
            return []
        once = [(row.count, row.ticks) for row in rhythm.counts.all()]
        return once * (self.cleaned_data.get("times") or 1)


def as_it_stands(figure: Figure, chart: StepChart | None) -> dict[str, Any]:
    """What the form begins with: a new chart is for the ways that have none yet. One query."""
    danced = list(figure.passages.filter(chart=chart))
    return {
        "name": "" if chart is None else chart.name,
        "note": "" if chart is None else chart.note,
        "passages": [passage.pk for passage in danced],
        "own_length": chart is not None and any(passage.ticks for passage in danced),
        "times": 1,
        "version": figure.version,
    }
