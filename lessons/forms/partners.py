"""Who is here for one segment, as it is ticked in the hall. Nothing of it is kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms

from curriculum.models import FloorRole
from lessons.evening.cast import Cast
from lessons.models import HelperCall
from lessons.people.first_names import first_names
from lessons.people.helpers import dances_as
from lessons.rules.evening_rotation import BOTH, Dancer
from school.models import Person
from school.plain_forms import PlainWords

ROLES = [(FloorRole.LEADER, "leads"), (FloorRole.FOLLOWER, "follows"), (BOTH, "either")]
FROM_ROUND = [(1, "from the start"), *((number, f"from round {number}") for number in range(2, 9))]
COUPLES = range(1, 4)
USUAL_MINUTES = 12
MOST_MINUTES = 240


class PartnersForm(PlainWords, forms.Form):
    """Always bound: `defaults` stand where the page was opened without a question.

    `called`: helpers called for the lesson. `known_apart`: pairs (keys) not to be paired, for who stays
    together may not be one of them.
    """

    minutes = forms.IntegerField(label="Minutes", min_value=1, max_value=MOST_MINUTES)
    each = forms.IntegerField(label="With one partner", min_value=1, max_value=60)
    guest_leaders = forms.IntegerField(label="Guests who lead", min_value=0, max_value=60, required=False)
    guest_followers = forms.IntegerField(label="Guests who follow", min_value=0, max_value=60, required=False)
    everybody = forms.BooleanField(
        label="Roles don’t matter: everybody dances with everybody", required=False
    )

    def __init__(
        self,
        cast: Cast,
        data: Mapping[str, Any],
        *,
        called: Iterable[HelperCall] = (),
        known_apart: Iterable[frozenset[int]] = (),
    ) -> None:
        # Somebody enrolled since the address was made is not ticked, but has a role all the same.
        super().__init__(self._usual(cast) | {name: data[name] for name in data})
        self.cast = cast
        self.known_apart = frozenset(known_apart)
        self.people = {row.person_id: row.person for row in cast.enrolments}
        self.own_roles = {row.person_id: row.role for row in cast.enrolments}
        called = {call.person_id: call for call in called}
        # Whoever was called comes in first: the instructors have the hall to look after.
        might = [*(call.person for call in called.values()), *cast.instructors]
        self.helpers = {person.pk: person for person in might if person.pk not in self.people}
        self.helping_as = {pk: dances_as(called[pk]) if pk in called else BOTH for pk in self.helpers}
        self.names = first_names([*self.people.values(), *self.helpers.values()])
        self._ask_each()
        self._ask_couples()

    @staticmethod
    def defaults(
        cast: Cast, *, minutes: object, each: int, called: Iterable[HelperCall] = ()
    ) -> dict[str, object]:
        """Everybody enrolled is here, in their own role, from the start; and so are those who were called."""
        here = {f"here_{row.person_id}": True for row in cast.enrolments}
        here |= {f"helps_{call.person_id}": True for call in called}
        return {"minutes": minutes or USUAL_MINUTES, "each": each} | here

    @staticmethod
    def _usual(cast: Cast) -> dict[str, object]:
        usual: dict[str, object] = {}
        for row in cast.enrolments:
            usual[f"role_{row.person_id}"] = BOTH if row.dances_both else row.role
            usual[f"from_{row.person_id}"] = 1
        return usual

    def _ask_each(self) -> None:
        for pk in self.people:
            name = self.names[pk]
            self.fields[f"here_{pk}"] = forms.BooleanField(label=name, required=False)
            self.fields[f"role_{pk}"] = forms.ChoiceField(label=f"{name}: role", choices=ROLES)
            self.fields[f"from_{pk}"] = forms.TypedChoiceField(
                label=f"{name}: joins in", choices=FROM_ROUND, coerce=int, required=False, empty_value=1
            )
        for pk in self.helpers:
            self.fields[f"helps_{pk}"] = forms.BooleanField(label=self.names[pk], required=False)

    def _ask_couples(self) -> None:
        choices = [("", "nobody"), *((pk, self.names[pk]) for pk in self.people)]
        for number in COUPLES:
            for side, label in (("one", f"Couple {number}"), ("other", f"Couple {number}: with")):
                self.fields[f"stays_{number}_{side}"] = forms.TypedChoiceField(
                    label=label, choices=choices, coerce=int, required=False, empty_value=None
                )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        taken: set[int] = set()
        for number in COUPLES:
            one, other = (cleaned.get(f"stays_{number}_{side}") for side in ("one", "other"))
            if fault := self._fault(one, other, taken):
                self.add_error(f"stays_{number}_other", fault)
            taken |= {pk for pk in (one, other) if pk}
        return cleaned

    def _fault(self, one: int | None, other: int | None, taken: set[int]) -> str:
        if not one and not other:
            return ""
        if not one or not other or one == other:
            return "A couple is two people."
        if {one, other} & taken:
            return "One of them stays with somebody else already."
        if frozenset((one, other)) in self.known_apart:
            return "These two are not to be paired."
        return ""

    @property
    def dancers(self) -> tuple[Dancer, ...]:
        """Who is ticked, in the order of the list, then guests without a name (keys below 0)."""
        told = self.cleaned_data
        named = [
            Dancer(pk, self.names[pk], told[f"role_{pk}"], told[f"from_{pk}"], self.own_roles[pk])
            for pk in self.people
            if told[f"here_{pk}"]
        ]
        leaders, followers = told["guest_leaders"] or 0, told["guest_followers"] or 0
        roles = [FloorRole.LEADER] * leaders + [FloorRole.FOLLOWER] * followers
        guests = [Dancer(-number, f"guest {number}", role) for number, role in enumerate(roles, start=1)]
        return (*named, *guests)

    @property
    def called_in(self) -> tuple[Dancer, ...]:
        """Helpers who may be called in, as what they can dance; who teaches dances either role."""
        return tuple(
            Dancer(pk, self.names[pk], self.helping_as[pk])
            for pk in self.helpers
            if self.cleaned_data[f"helps_{pk}"]
        )

    @property
    def couples(self) -> tuple[tuple[int, int], ...]:
        told = self.cleaned_data
        asked = ((told[f"stays_{number}_one"], told[f"stays_{number}_other"]) for number in COUPLES)
        return tuple((one, other) for one, other in asked if one and other)

    def rows(self, role: str) -> list[dict[str, forms.BoundField]]:
        """The three fields of each person enrolled in `role`, for the page."""
        return [
            {name: self[f"{name}_{row.person_id}"] for name in ("here", "role", "from")}
            for row in self.cast.enrolments
            if row.role == role
        ]

    @property
    def says_more(self) -> bool:
        """Whether guests, a couple or the like were asked for, or something is wrong: then it is shown."""
        more = (
            "guest_leaders",
            "guest_followers",
            "everybody",
            *(f"stays_{number}_one" for number in COUPLES),
        )
        return bool(self.errors) or any(self[name].value() for name in more)

    @property
    def leading_rows(self) -> list[dict[str, forms.BoundField]]:
        return self.rows(FloorRole.LEADER)

    @property
    def following_rows(self) -> list[dict[str, forms.BoundField]]:
        return self.rows(FloorRole.FOLLOWER)

    @property
    def helper_fields(self) -> list[forms.BoundField]:
        return [self[f"helps_{pk}"] for pk in self.helpers]

    @property
    def couple_fields(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(self[f"stays_{number}_one"], self[f"stays_{number}_other"]) for number in COUPLES]


class NotPairedForm(PlainWords, forms.Form):
    """Two people; why is not asked."""

    one = forms.ModelChoiceField(label="These two", queryset=Person.objects.none(), empty_label="choose")
    other = forms.ModelChoiceField(label="and", queryset=Person.objects.none(), empty_label="choose")

    def __init__(self, cast: Cast, data: Any = None) -> None:
        super().__init__(data)
        people = Person.objects.filter(pk__in=[row.person_id for row in cast.enrolments])
        for name in ("one", "other"):
            self.fields[name].queryset = people

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("one") and cleaned.get("one") == cleaned.get("other"):
            self.add_error("other", "Choose somebody else.")
        return cleaned
