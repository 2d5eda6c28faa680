"""Every form of the curriculum refuses in the school's own words."""

import importlib
import pkgutil

import pytest
from django import forms
from django.urls import reverse

import curriculum
from curriculum.actions import create_dance
from school.plain_forms import PlainWords


def every_form():
    for module in pkgutil.walk_packages(curriculum.__path__, "curriculum."):
        if ".migrations" not in module.name:
            importlib.import_module(module.name)
    waiting = [forms.BaseForm]
    while waiting:
        for kind in waiting.pop().__subclasses__():
            waiting.append(kind)
            if kind.__module__.startswith("curriculum."):
                yield kind


def test_every_form_speaks_plainly():
    found = set(every_form())
    assert len(found) >= 12
    assert [kind.__name__ for kind in found if not issubclass(kind, PlainWords)] == []


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"name": ""}, {"name": ["Fill this in."]}),
        ({"beats_per_bar": "0"}, {"beats_per_bar": ["A bar has 1 to 12 beats."]}),
        ({"beats_per_bar": "13"}, {"beats_per_bar": ["A bar has 1 to 12 beats."]}),
        ({"beats_per_bar": "three"}, {"beats_per_bar": ["This is not a whole number."]}),
        ({"beat_unit": "7"}, {"beat_unit": ["This is not among the choices. Choose again."]}),
    ],
)
def test_a_new_dance_is_refused_in_those_words(as_director, typed, said):
    form = {"name": "waltz", "beats_per_bar": 3, "beat_unit": 4, "floor_use": "travels"} | typed
    assert as_director.post(reverse("curriculum:dance-new"), form).context["form"].errors == said


@pytest.mark.django_db
def test_no_file_is_asked_for(as_director, school):
    address = reverse("curriculum:spreadsheet-in", args=[create_dance(name="waltz").pk])
    assert as_director.post(address).context["form"].errors == {"file": ["Choose a file."]}
