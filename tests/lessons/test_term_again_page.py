"""The page that offers the rest of a term planned again: what moves and why, and who decides."""

import pytest
from django.urls import reverse

from lessons.actions.changes import cancel_lesson
from lessons.models import PlanRun
from lessons.planners.again import LEAVE_NOTHING_OUT, MOVE_LEAST
from lessons.problems import course_problem
from lessons.problems.standing import reading
from lessons.tasks import run_plan
from tests.lessons.planned import as_person, planned

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("story_day")]


@pytest.fixture
def made():
    return planned(status="published")


@pytest.fixture
def run(made, director):
    cancel_lesson(lesson=made.lessons[5], because="flood", by=director)
    run = PlanRun.objects.get()
    run_plan(run.pk, worker="here")
    run.refresh_from_db()
    return run


def ask(client, made):
    return client.post(reverse("lessons:plan-again", args=[made.course.pk]), follow=True)


def show(client, run, **headers):
    return client.get(reverse("lessons:plan-run", args=[run.pk]), **headers).content.decode()


def answer(client, run, word):
    return client.post(reverse("lessons:plan-run-answer", args=[run.pk]), {"answer": word}, follow=True)


class TestAsking:
    def test_an_instructor_proposes_it_from_the_course_s_page(self, client, made, instructor):
        page = as_person(client, instructor).get(reverse("lessons:course", args=[made.course.pk]))
        assert reverse("lessons:plan-again", args=[made.course.pk]) in page.content.decode()
        response = ask(client, made)
        run = PlanRun.objects.get()
        assert (run.asked_by, run.kind) == (instructor, "again")
        assert "Tobin Marl asked for it." in response.content.decode()

    def test_without_a_published_plan_it_says_what_to_do_first(self, as_director, made):
        made.plan.status = "draft"
        made.plan.save()
        assert "Plan a draft and publish it first." in ask(as_director, made).content.decode()

    def test_a_plan_that_holds_asks_for_nothing(self, as_director, made):
        made = planned(figures={"box": 0, "turn": 6}, status="published")
        ask(as_director, made)
        run = PlanRun.objects.get()
        run_plan(run.pk, worker="here")
        page = show(as_director, run)
        assert "The plan holds as it is." in page
        assert 'name="answer"' not in page


class TestTheOffer:
    def test_it_says_what_moves_and_why(self, as_director, run):
        page = show(as_director, run)
        assert "The lesson of Tuesday 10 February is cancelled: flood." in page
        assert "figures move" in page or "figure moves" in page
        assert "Turn was planned for Tuesday 10 February, which falls out." in page

    def test_the_director_publishes_it(self, as_director, run, made):
        response = answer(as_director, run, LEAVE_NOTHING_OUT)
        assert "Published." in response.content.decode()
        assert made.course.plans.get(status="published").pk != made.plan.pk
        assert "Accepted and published." in show(as_director, run)

    def test_the_director_leaves_it(self, as_director, run, made):
        assert "The plan stays as it is." in answer(as_director, run, "leave").content.decode()
        assert made.course.plans.get(status="published").pk == made.plan.pk

    def test_an_instructor_reads_it_and_decides_nothing(self, client, run, instructor):
        page = show(as_person(client, instructor), run)
        assert "The director decides." in page
        assert 'name="answer"' not in page
        assert answer(client, run, LEAVE_NOTHING_OUT).status_code == 403

    @pytest.mark.parametrize("word", ["", "best", MOVE_LEAST])
    def test_what_was_not_offered_is_refused_in_a_sentence(self, as_director, run, word):
        assert "This run has no such proposal." in answer(as_director, run, word).content.decode()

    def test_after_something_came_between_nothing_is_published(self, as_director, run, made, director):
        made.course.lessons.filter(pk=made.lessons[8].pk).update(minutes=90)
        page = show(as_director, run)
        assert "Something has come between since." in page
        assert "Publish this" not in page
        assert "changed in this course since" in answer(as_director, run, LEAVE_NOTHING_OUT).content.decode()

    def test_the_published_plan_leads_to_it(self, as_director, run, made):
        page = as_director.get(reverse("lessons:plan", args=[made.plan.pk])).content.decode()
        assert reverse("lessons:plan-run", args=[run.pk]) in page

    def test_htmx_fetches_the_fragment(self, as_director, run):
        assert "<html" not in show(as_director, run, HTTP_HX_REQUEST="true")


WAY = {"reason": 0, "kind": "required", "keys": [], "lessons": [], "value": None}


def both_ways(made):
    """A run with two proposals, as it stands in its row."""
    names = list(made.plan.figures.values_list("figure__name", flat=True))
    count = len(made.lessons)
    stands = {"introductions": dict.fromkeys(names, 7), "reviews": [[names[0], 8]], "loads": []}
    moved = {"introductions": dict.fromkeys(names, 8), "reviews": [], "why": dict.fromkeys(names, "so.")}
    one = {"name": LEAVE_NOTHING_OUT, "left_out": [], **moved}
    other = {
        "name": MOVE_LEAST,
        "left_out": names[:1],
        "introductions": dict.fromkeys(names[1:], 7),
        "reviews": [],
        "why": {names[0]: "No lesson to come has room for it."},
    }
    return PlanRun.objects.create(
        plan=made.plan,
        plan_version=1,
        kind="again",
        status="done",
        occasion="A lesson was lost.",
        result={
            "status": "optimal",
            "proposals": [one, other],
            "conflict": ["a figure must be taught"],
            "reasons": [
                {"kind": "required", "keys": names[:1], "figures": [], "lessons": [], "limit": None,
                 "sentence": f"{names[0]} must be taught."}
            ],
            "ways": [
                WAY | {"sentence": "Let it be left out if it must.", "aims": [["left_out", 1, 1]]},
                WAY | {"sentence": "That alone is not enough.", "aims": None},
            ],
            "gave_way": [],
            "holds": False,
            "reading": reading(course_problem(made.plan)),
            "lessons": [lesson.pk for lesson in made.lessons],
            "first_to_come": count - 1,
            "before": stands,
            "notes": [],
        },
    )  # fmt: skip


def test_two_ways_are_both_offered_with_what_could_give_way(as_director):
    made = planned(figures={"box": 7, "turn": 7}, status="published")
    page = show(as_director, both_ways(made))
    assert "There are two ways to go on." in page
    assert page.count("Publish this") == 2
    assert "Box is left out" in page or "box is left out" in page
    assert "Let it be left out if it must." in page
    assert "That alone is not enough." not in page


@pytest.mark.parametrize(("figures", "lessons"), [(2, 10), (9, 16)])
def test_the_page_costs_the_same_queries_at_any_size(
    as_director, figures, lessons, django_assert_num_queries
):
    made = planned(
        figures={f"figure {number}": 7 for number in range(figures)}, lessons=lessons, status="published"
    )
    run = both_ways(made)
    with django_assert_num_queries(24):
        assert "There are two ways" in show(as_director, run)
