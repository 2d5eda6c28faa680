"""The ways in and out of a figure as forms, one below the other, with an empty one for the next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from curriculum.models import Dance, Figure, FloorUse, Foot, Hold, Passage
from curriculum.problems import passage_of
from curriculum.rules.alignment import DIRECTIONS_IN_FULL
from curriculum.rules.chart_couple import FACE_TO_FACE
from curriculum.spreadsheet.cells import read_ticks, say_ticks
from curriculum.stance_words import way_words
from school.plain_forms import PlainWords
from school.sent import whole_number

FIELDS = (
    "label",
    "ticks",
    "entry_hold",
    "entry_foot",
    "entry_place",
    "exit_hold",
    "exit_foot",
    "exit_place",
    "give",
)


def places_of(dance: Dance) -> list[tuple[str, str]]:
    """What a place can be in this dance; empty where figures stay on the spot."""
    if dance.floor_use == FloorUse.SLOT:
        return [("0", "the follower at end 0"), ("1", "the follower at end 1")]
    if dance.floor_use == FloorUse.TRAVELS:
        return [(str(number), f"the leader faces {name}") for number, name in enumerate(DIRECTIONS_IN_FULL)]
    return []


def is_told_by_chart(passage: Passage | None) -> tuple[bool, bool]:
    """Whether a chart tells the passage's exit foot, and its exit place. Reads its figure and holds."""
    if passage is None or passage.chart_id is None:
        return False, False
    way = passage_of(passage)
    if way.entry.place is None:
        return True, False
    if passage.figure.dance.floor_use != FloorUse.SLOT:
        return True, True
    facings = {hold.facing if hold else None for hold in (passage.entry_hold, passage.exit_hold)}
    return True, facings == {FACE_TO_FACE}


class PassageForm(PlainWords, forms.Form):
    """One way. What a chart tells has no field here: it is derived."""

    pk = forms.IntegerField(widget=forms.HiddenInput, required=False)
    label = forms.CharField(
        required=False, max_length=40, label="Name", help_text="For example 4 to 6, or to promenade."
    )
    ticks = forms.CharField(required=False, label="Beats", help_text="Empty: as long as the figure.")
    entry_hold = forms.ModelChoiceField(queryset=None, required=False, empty_label="any", label="Hold")
    entry_foot = forms.ChoiceField(required=False, label="The leader’s free foot")
    entry_place = forms.ChoiceField(required=False, label="Where")
    exit_hold = forms.ModelChoiceField(queryset=None, required=False, empty_label="as it comes", label="Hold")
    exit_foot = forms.ChoiceField(required=False, label="The leader’s free foot")
    exit_place = forms.ChoiceField(required=False, label="Where")
    give = forms.IntegerField(
        required=False,
        min_value=0,
        max_value=4,
        label="May be turned more or less by",
        help_text="Eighths of a turn.",
    )
    remove = forms.BooleanField(required=False, label="Take this way out")

    def __init__(
        self,
        *args: Any,
        holds: Sequence[Hold] = (),
        places: Sequence[tuple[str, str]] = (),
        passages: Mapping[int, Passage] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.passage = (passages or {}).get(self._key())
        self._offer(holds, places)
        foot_told, place_told = is_told_by_chart(self.passage)
        told = [*(["ticks", "exit_foot"] if foot_told else []), *(["exit_place"] if place_told else [])]
        if not places:
            told += ["entry_place", "exit_place"]
        if self.passage is None:
            told.append("remove")
        for name in told:
            self.fields.pop(name, None)

    def _key(self) -> int:
        return whole_number(str(self["pk"].value() or "")) or 0

    def _offer(self, holds: Sequence[Hold], places: Sequence[tuple[str, str]]) -> None:
        for name in ("entry_hold", "exit_hold"):
            # The rows were fetched once for all the forms.
            field = self.fields[name]
            field.queryset = Hold.objects.filter(pk__in=[hold.pk for hold in holds])
            field.choices = [("", field.empty_label), *((hold.pk, hold.name) for hold in holds)]
        for name in ("entry_foot", "exit_foot"):
            self.fields[name].choices = [("", "either"), *Foot.choices]
        self.fields["entry_place"].choices = [("", "anywhere"), *places]
        self.fields["exit_place"].choices = [("", "where it began"), *places]

    def clean_ticks(self) -> int | None:
        try:
            return read_ticks(self.cleaned_data["ticks"])
        except ValueError as error:
            raise ValidationError(f"{str(error)[:1].upper()}{str(error)[1:]}.") from error

    def clean_entry_place(self) -> int | None:
        return _number(self.cleaned_data["entry_place"])

    def clean_exit_place(self) -> int | None:
        return _number(self.cleaned_data["exit_place"])

    def clean_give(self) -> int:
        return self.cleaned_data["give"] or 0

    @property
    def told(self) -> str:
        """How the way ends, where that follows from its chart."""
        if self.passage is None or self.passage.chart_id is None:
            return ""
        return way_words(self.passage, self.passage.figure.dance)[1]

    @property
    def values(self) -> dict[str, Any]:
        """What is to be written: the fields there are."""
        return {name: self.cleaned_data[name] for name in FIELDS if name in self.fields}


def _number(text: str) -> int | None:
    return int(text) if text else None


def as_typed(passage: Passage) -> dict[str, Any]:
    """A passage as its form would have it typed."""
    return {
        "pk": passage.pk,
        "label": passage.label,
        "ticks": say_ticks(passage.ticks),
        "entry_hold": passage.entry_hold_id,
        "entry_foot": passage.entry_foot,
        "entry_place": passage.entry_place,
        "exit_hold": passage.exit_hold_id,
        "exit_foot": passage.exit_foot,
        "exit_place": passage.exit_place,
        "give": passage.give or None,
    }


PassageForms = forms.formset_factory(PassageForm, extra=1, max_num=40, absolute_max=60)


def passage_forms(figure: Figure, posted: Mapping[str, Any] | None = None) -> Any:
    """The forms of all the figure's ways and one more. Two queries; what is chosen in a bound form costs
    two more a form, when it is checked."""
    passages = list(figure.passages.select_related("figure__dance", "entry_hold", "exit_hold"))
    return PassageForms(
        posted,
        prefix="way",
        initial=[as_typed(passage) for passage in passages],
        form_kwargs={
            "holds": list(figure.dance.holds.all()),
            "places": places_of(figure.dance),
            "passages": {passage.pk: passage for passage in passages},
        },
    )
