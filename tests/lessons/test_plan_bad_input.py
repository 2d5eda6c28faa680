"""What no plan can hold is answered by a sentence at its field, and nothing is half saved."""

import pytest
from django.urls import reverse

from lessons.models import PlanRun, TermPlan
from lessons.tasks import run_plan
from tests.factories import (
    ClosureFactory,
    CourseFactory,
    FigureFactory,
    LevelFactory,
    PlanFactory,
    PlanFigureFactory,
    weekly_lessons,
)
from tests.lessons.planned import TODAY, planned

pytestmark = pytest.mark.usefixtures("story_day")

HTMX = {"HTTP_HX_REQUEST": "true"}


def card(made, name):
    return reverse("lessons:plan-figure", args=[made.plan.pk, made.row(name).figure_id])


def typed(client, made, name, **changes):
    """What a browser would send of the figure's card, with these fields changed."""
    form = client.get(card(made, name)).context["form"]
    data = {}
    for field in form:
        data[field.html_name] = field.value()
        if field.field.show_hidden_initial:
            data[field.html_initial_name] = field.value()
    sent = data | changes
    return {key: value for key, value in sent.items() if value is not None and value is not False}


def refused(client, made, name, field, **changes):
    """The sentences at the field; nothing of it was saved."""
    before = list(made.plan.figures.values())
    page = client.post(card(made, name), typed(client, made, name, **changes), **HTMX)
    assert list(made.plan.figures.values()) == before
    assert not made.plan.steps.exists()
    return " ".join(page.context["form"].errors[field])


class TestAFiguresCard:
    def test_a_pin_on_a_day_without_class(self, as_director):
        made = planned()
        lesson = made.lessons[7]
        ClosureFactory(first_day=lesson.date, last_day=lesson.date)
        lesson.cancelled_at, lesson.cancelled_because = f"{TODAY}T12:00:00Z", "no class"
        lesson.save()
        said = refused(as_director, made, "whisk", "lesson", lesson=lesson.pk, pinned="on", importance=9)
        assert "not among the choices" in said

    @pytest.mark.parametrize("lesson", ["0", "-1", "99999999999999999999", "x", ""])
    def test_a_lesson_outside_the_term(self, as_director, lesson):
        assert refused(as_director, planned(), "whisk", "lesson", lesson=lesson, pinned="on", parts=2)

    def test_another_courses_lesson(self, as_director):
        made, other = planned(), planned()
        said = refused(as_director, made, "whisk", "lesson", lesson=other.lessons[8].pk, importance=9)
        assert "not among the choices" in said

    def test_a_pin_in_no_lesson(self, as_director):
        said = refused(as_director, planned(), "whisk", "pinned", lesson="none", pinned="on")
        assert said == "Choose the lesson it is kept in."

    def test_the_latest_before_the_earliest(self, as_director):
        made = planned()
        bounds = {"earliest": made.lessons[8].pk, "latest": made.lessons[6].pk}
        said = refused(as_director, made, "whisk", "latest", importance=9, **bounds)
        assert said == "The latest lesson lies before the earliest."

    @pytest.mark.parametrize(
        ("parts", "said"), [(0, "1 or more"), (11, "10 or less"), ("two", "whole number")]
    )
    def test_parts_that_are_none(self, as_director, parts, said):
        assert said in refused(as_director, planned(), "whisk", "parts", parts=parts)

    def test_more_parts_than_minutes(self, as_director):
        made = planned()
        made.row("whisk").figure.__class__.objects.filter(name="whisk").update(minutes_to_introduce=3)
        said = refused(as_director, made, "whisk", "parts", parts=4)
        assert "whisk takes 3 minutes; it cannot have 4 parts." in said

    @pytest.mark.parametrize("kind", ["together", "apart"])
    def test_company_that_is_not_in_the_plan(self, as_director, kind):
        other = planned()
        strange = [other.row("box").pk]
        assert "not among the choices" in refused(as_director, planned(), "whisk", kind, **{kind: strange})

    @pytest.mark.parametrize("version", ["", "x", "-1", "9999999999"])
    def test_a_form_that_has_lost_its_place(self, as_director, version):
        made = planned()
        data = typed(as_director, made, "whisk", importance=9) | {"version": version}
        page = as_director.post(card(made, "whisk"), data, **HTMX)
        assert page.status_code == 200
        assert made.row("whisk").importance == 1


class TestACourseWithoutLessons:
    @pytest.fixture
    def plan(self, db):
        course = CourseFactory()
        plan = PlanFactory(course=course)
        PlanFigureFactory(plan=plan, figure=FigureFactory(level=course.levels.get(), name="whisk"))
        return plan

    @pytest.mark.parametrize("name", ["plan", "plan-picture", "plan-compare", "plan-publish", "plan-figures"])
    def test_every_page_of_its_plan_is_there(self, as_director, plan, name):
        assert as_director.get(reverse(f"lessons:{name}", args=[plan.pk])).status_code == 200

    def test_a_held_mark_has_nowhere_to_go(self, as_director, plan):
        figure = plan.figures.get().figure_id
        asked = {"version": 1, "kind": "new"}
        answer = as_director.get(reverse("lessons:plan-places", args=[plan.pk, figure]), asked)
        assert list(answer.json()["places"]) == ["none"]

    def test_its_term_is_planned_to_a_sentence(self, as_director, plan):
        as_director.post(reverse("lessons:plan-run-start", args=[plan.pk]), {"seconds": "5"})
        run = PlanRun.objects.get()
        run_plan(run.pk, worker="here")
        shown = as_director.get(reverse("lessons:plan-run", args=[run.pk])).content.decode()
        assert "whisk must be taught" in shown

    def test_a_copy_from_another_term_places_nothing(self, as_director, plan):
        earlier = planned(figures={"step": 1}, level=plan.course.levels.get(), status="published")
        address = reverse("lessons:plan-copy-from", args=[plan.course_id])
        as_director.post(address, {"plan": earlier.plan.pk})
        copied = TermPlan.objects.latest("pk")
        assert not copied.figures.filter(introductions__isnull=False).exists()


def test_two_thousand_figures_are_chosen_in_one_go_and_drawn(as_director):
    course = CourseFactory(level=LevelFactory())
    weekly_lessons(course, 3)
    level = course.levels.get()
    figure = FigureFactory(level=level, name="first")
    kind = type(figure)
    kind.objects.bulk_create(
        kind(dance=level.dance, level=level, name=f"figure {n}", order=n, ticks=48, minutes_to_introduce=10)
        for n in range(1999)
    )
    plan = PlanFactory(course=course)
    data = {"version": 1}
    for pk in kind.objects.values_list("pk", flat=True):
        data |= {f"teach-{pk}": "on", f"required-{pk}": "on", f"importance-{pk}": "1"}
    answer = as_director.post(reverse("lessons:plan-figures", args=[plan.pk]), data)
    assert answer.status_code == 302
    assert plan.figures.count() == 2000
    shown = as_director.get(reverse("lessons:plan", args=[plan.pk]))
    assert shown.status_code == 200
    assert "2000 figures stand in no lesson" in shown.content.decode()
