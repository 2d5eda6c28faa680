"""Drafts: what they teach, what they are called, and how one is published."""

import datetime as dt
import re

import pytest
from django.urls import reverse

from lessons.actions.plans import publish_plan
from lessons.models import (
    PlanRun,
    PlanStatus,
    TermPlan,
)
from tests.factories import FigureFactory
from tests.lessons.planned import as_person, planned

pytestmark = pytest.mark.usefixtures("story_day")


def show(client, plan):
    response = client.get(reverse("lessons:plan", args=[plan.pk]))
    assert response.status_code == 200
    return response


class TestChoosingFigures:
    def data(self, plan, **more):
        data = {"version": plan.version}
        for one in plan.course.levels.get().figures.all():
            data |= {f"importance-{one.pk}": 1, f"required-{one.pk}": "on"}
        return data | more

    def test_figures_are_put_in_and_taken_out_in_one_go(self, as_director):
        made = planned()
        sway = FigureFactory(level=made.course.levels.get(), name="sway")
        turn = made.row("turn").figure
        data = self.data(made.plan)
        data |= {f"teach-{sway.pk}": "on", f"teach-{turn.pk}": "on", f"importance-{sway.pk}": 9}
        del data[f"required-{sway.pk}"]
        as_director.post(reverse("lessons:plan-figures", args=[made.plan.pk]), data)
        assert {row.figure.name for row in made.plan.figures.all()} == {"sway", "turn"}
        assert (made.row("sway").importance, made.row("sway").required) == (9, False)
        assert made.place_of("turn") == 5

    def test_figures_already_taught_are_shown_as_taught(self, as_director):
        made = planned()
        page = as_director.get(reverse("lessons:plan-figures", args=[made.plan.pk]))
        assert [bool(line["taught"]) for line in page.context["form"].lines()] == [True, False, False]
        assert "✓ taught 6 Jan" in page.content.decode()

    def test_a_wrong_importance_is_said_at_its_field_and_nothing_is_lost(self, as_director):
        made = planned()
        turn = made.row("turn").figure
        data = self.data(made.plan, **{f"importance-{turn.pk}": "0", f"teach-{turn.pk}": "on"})
        answer = as_director.post(reverse("lessons:plan-figures", args=[made.plan.pk]), data)
        assert answer.context["form"].errors == {f"importance-{turn.pk}": ["Choose how much it matters."]}
        assert made.plan.figures.count() == 3

    def test_somebody_elses_change_is_said_and_not_written_over(self, as_director):
        made = planned()
        data = self.data(made.plan, version=made.plan.version)
        TermPlan.objects.filter(pk=made.plan.pk).update(version=9)
        answer = as_director.post(reverse("lessons:plan-figures", args=[made.plan.pk]), data)
        assert "changed this plan" in answer.content.decode()
        assert made.plan.figures.count() == 3


class TestDrafts:
    def test_a_draft_is_called_by_when_it_was_begun(self, as_director):
        made = planned(status=PlanStatus.PUBLISHED)
        as_director.post(reverse("lessons:plan-new", args=[made.course.pk]))
        draft = TermPlan.objects.get(status=PlanStatus.DRAFT)
        assert re.fullmatch(r"Draft of 4 February, \d\d:\d\d", draft.title)

    def test_it_gets_a_name(self, as_director):
        made = planned()
        url = reverse("lessons:plan-name", args=[made.plan.pk])
        assert "Throw this draft away" in as_director.get(url).content.decode()
        as_director.post(url, {"name": "If the hall floods"})
        assert "If the hall floods" in show(as_director, made.plan).content.decode()

    def test_a_draft_without_a_name_is_refused_at_the_field(self, as_director):
        made = planned()
        answer = as_director.post(reverse("lessons:plan-name", args=[made.plan.pk]), {"name": " "})
        assert answer.context["form"].errors["name"]

    def test_it_is_thrown_away_with_its_runs(self, as_director):
        made = planned()
        PlanRun.objects.create(plan=made.plan, plan_version=1)
        answer = as_director.post(reverse("lessons:plan-discard", args=[made.plan.pk]))
        assert answer.url == reverse("lessons:course", args=[made.course.pk])
        assert not TermPlan.objects.filter(pk=made.plan.pk).exists()

    def test_what_was_published_is_neither_named_nor_thrown_away(self, as_director):
        made = planned(status=PlanStatus.PUBLISHED)
        as_director.post(reverse("lessons:plan-discard", args=[made.plan.pk]))
        named = as_director.post(reverse("lessons:plan-name", args=[made.plan.pk]), {"name": "mine"})
        assert "one no more" in named.content.decode()
        made.plan.refresh_from_db()
        assert made.plan.name == "Draft"

    def test_plans_are_told_apart_on_the_course_page(self, as_director):
        made = planned(status=PlanStatus.PUBLISHED)
        TermPlan.objects.update(published_at=dt.datetime(2026, 1, 3, 12, tzinfo=dt.UTC))
        as_director.post(reverse("lessons:plan-new", args=[made.course.pk]))
        draft = TermPlan.objects.get(status=PlanStatus.DRAFT)
        publish_plan(plan=draft, version=draft.version, by=draft.created_by)
        made.plan.refresh_from_db()
        assert made.plan.title == "Plan published 3 Jan"
        assert made.plan.retired_at == draft.published_at
        page = as_director.get(reverse("lessons:course", args=[made.course.pk])).content.decode()
        assert made.plan.title in page
        assert draft.title in page


class TestPublishing:
    def publish(self, client, plan, **data):
        return client.post(reverse("lessons:plan-publish", args=[plan.pk]), {"version": plan.version} | data)

    def test_a_sound_draft_is_published_and_the_one_before_retired(self, as_director, director):
        before = planned(status=PlanStatus.PUBLISHED)
        as_director.post(reverse("lessons:plan-new", args=[before.course.pk]))
        draft = TermPlan.objects.get(status=PlanStatus.DRAFT)
        self.publish(as_director, draft)
        draft.refresh_from_db()
        before.plan.refresh_from_db()
        assert (draft.status, draft.published_by) == (PlanStatus.PUBLISHED, director)
        assert before.plan.status == PlanStatus.RETIRED

    def test_what_breaks_is_shown_and_publishing_asks_for_even_so(self, as_director):
        made = planned(figures={"box": 0, "turn": 6, "whisk": 5})
        answer = self.publish(as_director, made.plan)
        assert "needs turn in an earlier lesson" in answer.content.decode()
        made.plan.refresh_from_db()
        assert made.plan.status == PlanStatus.DRAFT
        self.publish(as_director, made.plan, even_so="1")
        made.plan.refresh_from_db()
        assert made.plan.status == PlanStatus.PUBLISHED

    def test_a_version_that_is_no_number_or_overtaken_publishes_nothing(self, as_director):
        made = planned()
        assert "not whole" in self.publish(as_director, made.plan, version="x").content.decode()
        assert "changed this plan" in self.publish(as_director, made.plan, version="7").content.decode()
        made.plan.refresh_from_db()
        assert made.plan.status == PlanStatus.DRAFT

    def test_an_instructor_publishes_nothing(self, client, school, instructor):
        made = planned()
        assert self.publish(as_person(client, instructor), made.plan).status_code == 403
