"""Holds that a previewed file uses and the dance does not have: each with a form that adds it, and why."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from curriculum.hold_form import FREE, FacingField, checked_hold_name
from curriculum.models import Dance, FloorUse, Hold
from curriculum.standard import usual_hold
from school.plain_forms import PlainWords


class MissingHoldForm(PlainWords, forms.Form):
    """`why`: in a sentence, why a usual hold is not there; empty for one that is not usual anywhere."""

    name = forms.CharField(max_length=Hold._meta.get_field("name").max_length, widget=forms.HiddenInput)
    facing = FacingField()
    why = ""

    def __init__(self, dance: Dance, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.dance = dance

    def clean_name(self) -> str:
        return checked_hold_name(self.cleaned_data["name"], dance=self.dance)


def missing_hold_forms(
    dance: Dance, names: Sequence[str], refused: MissingHoldForm | None = None
) -> tuple[MissingHoldForm, ...]:
    """A form a name; `refused`: the one that was sent and is wrong, in place of its empty twin."""
    forms_of = []
    for place, name in enumerate(names):
        if refused is not None and refused.data.get("name") == name:
            refused.why = _why(dance, name)
            forms_of.append(refused)
            continue
        usual = usual_hold(name)
        facing = "" if usual is None else FREE if usual.facing is None else str(usual.facing)
        form = MissingHoldForm(dance, initial={"name": name, "facing": facing}, auto_id=f"hold-{place}-%s")
        form.why = _why(dance, name)
        forms_of.append(form)
    return tuple(forms_of)


def _why(dance: Dance, name: str) -> str:
    usual = usual_hold(name)
    if usual is None or usual.belongs_to(dance.floor_use):
        return ""
    floors = " or ".join(FloorUse(floor).label for floor in usual.floors)
    return (
        f"A new dance has it only if its floor is “{floors}”; the floor of {dance} is "
        f"“{dance.get_floor_use_display()}”."
    )
