"""What the register sends when a mark is held or put down, or a step taken back."""

from __future__ import annotations

from django import forms

NOT_WHOLE = "What was sent was not whole, so nothing was changed. The register stands below as it is now."


class SeenForm(forms.Form):
    """`version`: of the draft as the reader saw it."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1)


class HeldForm(SeenForm):
    """A mark: a figure's New, or the Again that stands in lesson `origin` (its primary key)."""

    kind = forms.ChoiceField(choices=[("new", "New"), ("again", "Again")])
    origin = forms.IntegerField(required=False, min_value=1, max_value=2**63 - 1)

    def clean(self) -> None:
        if self.cleaned_data.get("kind") == "again" and not self.cleaned_data.get("origin"):
            self.add_error("origin", "Say which Again it is.")


class MoveForm(HeldForm):
    """Put down in lesson `target` (its primary key); without one: in no lesson."""

    figure = forms.IntegerField(min_value=1, max_value=2**63 - 1)
    target = forms.IntegerField(required=False, min_value=1, max_value=2**63 - 1)


class StepForm(SeenForm):
    step = forms.IntegerField(min_value=1, max_value=2**63 - 1)
