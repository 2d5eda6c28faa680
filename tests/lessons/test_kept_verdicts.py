"""A kept page that tells what is wrong with plans is told anew when a verdict changes, also where the verdict
was known when the page was made and nothing had to be asked for it."""

import pytest
from django.core.cache import caches
from django.urls import reverse

from curriculum.models import Figure
from lessons.board import term
from lessons.models import PlanStatus
from tests.lessons.planned import TODAY, planned
from tests.lessons.test_kept_pages import TOKEN


@pytest.fixture
def courses(settings, school, instructor, monkeypatch):
    """Two, of which one stands on a page of the term."""
    settings.TODAY, settings.KEPT_PAGES = TODAY, 50
    monkeypatch.setattr(term, "LINES", 1)
    caches["pages"].clear()
    caches["verdicts"].clear()
    first = planned(status=PlanStatus.PUBLISHED, taught_by=[instructor], key="WB1")
    return [first, planned(status=PlanStatus.PUBLISHED, key="WB2", term=first.course.term)]


def the_shape_leaves_no_room(made):
    made.course.shape.segments.exclude(kind__in=["new", "review"]).update(least=60, ideal=60, most=60)


def figures_take_longer(made):
    Figure.objects.filter(plan_figures__plan=made.plan).update(minutes_to_introduce=90)


def read(client, name):
    return TOKEN.sub("", client.get(reverse(name)).content.decode())


@pytest.mark.parametrize("changed", [the_shape_leaves_no_room, figures_take_longer])
@pytest.mark.parametrize("name", ["lessons:home", "lessons:term"])
def test_what_a_known_verdict_was_found_in_is_part_of_the_page(as_director, courses, name, changed):
    read(as_director, name)
    caches["pages"].clear()
    before = read(as_director, name)
    for made in courses:
        changed(made)
    after = read(as_director, name)
    assert after != before
    caches["pages"].clear()
    assert after == read(as_director, name)
