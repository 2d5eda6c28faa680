"""Somebody sought by words of their name, in a form: a list of all would grow with the school."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.db.models import QuerySet

from school.models import Person
from school.people_search import find_people
from school.sent import whole_number

# More than these are too many to choose among: a second name is asked for.
MOST_SHOWN = 12


def name_field(label: str, *, required: bool = True, help_text: str = "") -> forms.CharField:
    """Words of a name."""
    return forms.CharField(
        label=label,
        required=required,
        max_length=120,
        help_text=help_text,
        error_messages={"required": "Write a name, or a part of it."},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


def choice_field(label: str) -> forms.ModelChoiceField:
    """The choice that comes up where several people have the words in their name."""
    return forms.ModelChoiceField(
        Person.objects.none(), label=label, required=False, widget=forms.RadioSelect, empty_label=None
    )


class SoughtByName(forms.Form):
    """A form with such fields, by pairs: the words, and the choice among those who have them."""

    def seek(self, words_in: str, chosen_in: str, among: QuerySet[Person]) -> None:
        """Set a pair up: whoever is chosen among several needs no words any more."""
        chosen = str(self.data.get(self.add_prefix(chosen_in), ""))
        self.fields[words_in].required = self.fields[words_in].required and not chosen
        # Chosen, nobody else is shown beside them, should the form come back.
        key = whole_number(chosen)
        self.fields[chosen_in].queryset = among if key is None else among.filter(pk=key)
        if not chosen:
            self.fields[chosen_in].widget = forms.HiddenInput()

    def one_of_name(self, words_in: str, chosen_in: str, *, nobody: Callable[[str], str]) -> Person | None:
        """The one person of that name; else None, with a sentence and, of several, the choice. `nobody`: what
        is said where nobody has these words in their name. One query beside it."""
        choice: Any = self.fields[chosen_in]
        words = self.cleaned_data.get(words_in, "").strip()
        found = find_people(words, among=choice.queryset.order_by("name", "pk"))
        if len(found) == 1:
            return found[0]
        if not found:
            self.add_error(words_in, nobody(words))
        elif len(found) > MOST_SHOWN:
            self.add_error(
                words_in, f"More than {MOST_SHOWN} people have this in their name. Write more of it."
            )
        else:
            choice.widget = forms.RadioSelect()
            choice.choices = [(person.pk, _told_apart(person)) for person in found]
            self.add_error(chosen_in, "Several people have this in their name. Choose one.")
        return None


def _told_apart(person: Person) -> str:
    return f"{person} ({person.username}{', under 18' if person.is_minor else ''})"
