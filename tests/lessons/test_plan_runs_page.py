"""Planning the term from the page: asked for, watched, stopped, accepted or left."""

import pytest
from django.urls import reverse

from curriculum.models import Prerequisite
from lessons.models import LessonSession, PlanRun, PlanStatus, RunStatus, TermPlan
from lessons.rules.conflict_words import Demand, thoughts
from lessons.runs.signs import give_sign
from lessons.tasks import run_plan
from tests.lessons.planned import as_person, planned

pytestmark = pytest.mark.usefixtures("story_day")

HTMX = {"HTTP_HX_REQUEST": "true"}


def ask(client, made, **data):
    return client.post(reverse("lessons:plan-run-start", args=[made.plan.pk]), {"seconds": "5"} | data)


def finished(client, made):
    """A run asked for on the page and carried out by a worker."""
    ask(client, made)
    run = PlanRun.objects.get(plan=made.plan)
    run_plan(run.pk, worker="here")
    run.refresh_from_db()
    return run


def show(client, run, **headers):
    response = client.get(reverse("lessons:plan-run", args=[run.pk]), **headers)
    assert response.status_code == 200
    return response


def answer(client, run, word):
    return client.post(reverse("lessons:plan-run-answer", args=[run.pk]), {"answer": word}, follow=True)


def test_asking_leads_to_the_run_which_waits_for_a_worker(as_director, director):
    made = planned()
    response = ask(as_director, made)
    run = PlanRun.objects.get()
    assert response.url == reverse("lessons:plan-run", args=[run.pk])
    assert (run.seconds, run.asked_by) == (5, director)
    give_sign("here")
    assert "Waiting for a worker." in show(as_director, run).content.decode()


def test_without_a_worker_the_page_says_so(as_director):
    made = planned()
    ask(as_director, made)
    assert "No worker is running" in show(as_director, PlanRun.objects.get()).content.decode()


def test_a_living_worker_is_not_called_missing(as_director):
    made = planned()
    ask(as_director, made)
    give_sign("here")
    assert "No worker is running" not in show(as_director, PlanRun.objects.get()).content.decode()


def test_progress_is_told_in_words_and_fetched_again_until_it_ends(as_director):
    made = planned()
    run = PlanRun.objects.create(
        plan=made.plan,
        plan_version=1,
        status=RunStatus.RUNNING,
        seconds=10,
        progress={"aims": [["left_out", 0, 0], ["late_reviews", 26, 25]], "seconds": 4.2},
    )
    within = show(as_director, run, **HTMX).content.decode()
    assert "within 4 % of the best possible" in within
    assert "4 of at most 10 seconds" in within
    assert "hx-trigger" in within
    assert "<!doctype html>" not in within
    assert '<noscript><meta http-equiv="refresh"' in show(as_director, run).content.decode()


def test_it_is_stopped(as_director):
    made = planned()
    ask(as_director, made)
    run = PlanRun.objects.get()
    as_director.post(reverse("lessons:plan-run-stop", args=[run.pk]))
    run.refresh_from_db()
    assert run.status == RunStatus.STOPPED
    assert "Stopped before a plan was found." in show(as_director, run).content.decode()


def test_the_result_stands_beside_what_was_there_and_is_accepted(as_director):
    made = planned(figures={"box": 0, "turn": 8, "whisk": None})
    run = finished(as_director, made)
    shown = show(as_director, run)
    assert "best possible" in shown.content.decode()
    assert "hx-trigger" not in shown.content.decode()
    moves = {move.name: (move.before and move.before[0], move.after[0]) for move in shown.context["moves"]}
    assert moves["whisk"][0] is None
    assert made.place_of("whisk") is None
    answer(as_director, run, "accept")
    assert made.place_of("whisk") == moves["whisk"][1] - 1


def test_the_result_is_left_and_the_draft_stays(as_director):
    made = planned(figures={"box": 0, "turn": 8, "whisk": None})
    run = finished(as_director, made)
    page = answer(as_director, run, "leave").content.decode()
    assert "The draft stays as it was." in page
    assert made.place_of("whisk") is None


def test_the_loads_before_and_after_are_gauged(as_director):
    made = planned(figures={"box": 0, "turn": 8, "whisk": None})
    compared = show(as_director, finished(as_director, made)).context["compared"]
    assert [one.number for one in compared] == [6, 7, 8, 9, 10, 11]
    assert sum(one.before.new for one in compared) == 12
    assert sum(one.after.new for one in compared) == 24


def test_what_cannot_fit_is_explained_each_reason_on_its_line(as_director):
    made = planned(figures={"box": 0, "turn": 6, "whisk": None})
    made.plan.figures.filter(figure__name="turn").update(pinned=made.lessons[7])
    made.plan.figures.filter(figure__name="whisk").update(latest=made.lessons[6])
    run = finished(as_director, made)
    shown = show(as_director, run).content.decode()
    assert "This can’t all fit, because" in shown
    assert len(run.result["conflict"]) >= 3
    assert "whisk needs turn in an earlier lesson." in shown
    assert "turn is kept in lesson 8." in shown
    assert "whisk must begin by lesson 7." in shown
    assert "Accept this plan" not in shown


def test_an_accepted_run_still_says_what_moved_and_what_stood_before(as_director):
    made = planned(figures={"box": 0, "turn": 8, "whisk": None})
    run = finished(as_director, made)
    before = show(as_director, run).context
    answer(as_director, run, "accept")
    after = show(as_director, run).context
    assert [move.name for move in after["moves"]] == [move.name for move in before["moves"]] != []
    assert after["compared"] == before["compared"]
    assert any(one.before != one.after for one in after["compared"])
    LessonSession.objects.filter(pk=made.lessons[9].pk).update(cancelled_at="2026-02-04T12:00Z")
    assert show(as_director, run).context["moves"]


def test_the_reviews_that_come_in_another_lesson_are_named(as_director):
    made = planned(figures={"box": 0, "turn": 8, "whisk": None})
    shown = show(as_director, finished(as_director, made))
    moved = {move.name: (move.before, move.after) for move in shown.context["review_moves"]}
    assert moved["whisk"][0] == ()
    assert moved["whisk"][1]
    assert "comes again in lessons" in shown.content.decode()


def test_each_reason_leads_to_the_place_where_it_is_set(as_director):
    names = ["box", "turn", "whisk", "sway", "fan", "chase"]
    made = planned(figures=dict.fromkeys(names))
    Prerequisite.objects.all().delete()
    shown = show(as_director, finished(as_director, made)).content.decode()
    assert "Six figures must be taught, and the six lessons to come have places for five" in shown
    assert "Lessons 6 to 10 take at most one new figure each." in shown
    assert "Lesson 11 takes nothing new: it is the last" in shown
    assert reverse("lessons:course-edit", args=[made.course.pk]) in shown
    assert reverse("lessons:plan-figure", args=[made.plan.pk, made.row("sway").figure_id]) in shown
    assert "Take any one of these away" not in shown
    assert "Together these are one cause." in shown
    assert "Take away any one of these and the others can be met together" in shown


def test_a_chain_of_needs_is_one_sentence(as_director):
    made = planned(figures=dict.fromkeys(["box", "turn", "whisk"]))
    made.plan.figures.filter(figure__name="whisk").update(pinned=made.lessons[6])
    shown = show(as_director, finished(as_director, made)).content.decode()
    assert "whisk needs turn, which needs box, each in an earlier lesson." in shown
    assert "whisk is kept in lesson 7." in shown


class TestWordsOfAConflict:
    def words(self, *demands, to_come=6):
        return [thought.sentence for thought in thoughts(demands, to_come=to_come)]

    def test_lessons_with_the_same_limit_share_a_sentence(self):
        demands = [Demand("room", (), (at,), "", 38) for at in (2, 3, 5)] + [Demand("room", (), (6,), "", 20)]
        assert self.words(*demands) == [
            "Lessons 3, 4 and 6 have room for 38 minutes each.",
            "Lesson 7 has room for 20 minutes.",
        ]

    def test_lessons_a_figure_may_not_begin_in_are_one_thought(self):
        demands = [Demand("barred", ("fan",), (at,), "") for at in (3, 4, 5)]
        assert self.words(*demands) == ["fan may not begin in lessons 4 to 6."]

    def test_places_are_counted_only_where_every_lesson_to_come_is_named(self):
        demands = [Demand("required", (name,), (), "") for name in ("fan", "whisk")]
        demands += [Demand("most", (), (5,), "", 1)]
        assert self.words(*demands)[0] == "Two figures must be taught: fan and whisk."
        assert self.words(*demands, to_come=1)[0] == (
            "Two figures must be taught, and the one lesson to come has place for one: fan and whisk."
        )

    def test_a_need_shared_by_two_chains_is_said_once(self):
        needs = [("d", "c"), ("c", "b"), ("x", "b"), ("b", "a")]
        assert self.words(*(Demand("need", pair, (), "") for pair in needs)) == [
            "d needs c, which needs b, which needs a, each in an earlier lesson.",
            "x needs b in an earlier lesson.",
        ]

    def test_what_stands_alone_keeps_its_sentence(self):
        alone = Demand("latest", ("fan",), (4,), "fan must begin by lesson 5.")
        assert self.words(alone) == ["fan must begin by lesson 5."]


def test_a_plan_left_out_of_date_by_a_change_says_so_and_is_not_accepted(as_director):
    made = planned(figures={"box": 0, "turn": 8, "whisk": None})
    run = finished(as_director, made)
    TermPlan.objects.filter(pk=made.plan.pk).update(version=9)
    stale = show(as_director, run).content.decode()
    assert "changed after this run began" in stale
    assert "Plan the term again</button>" in stale
    assert "was changed after this run began" in answer(as_director, run, "accept").content.decode()
    assert made.place_of("whisk") is None


def test_a_run_is_answered_once(as_director):
    made = planned()
    run = finished(as_director, made)
    answer(as_director, run, "leave")
    assert "answered already" in answer(as_director, run, "leave").content.decode()


def test_a_failed_run_says_what_happened_and_that_the_draft_is_as_it_was(as_director):
    made = planned()
    run = PlanRun.objects.create(
        plan=made.plan, plan_version=1, status=RunStatus.FAILED, failure="Three workers fell silent."
    )
    shown = show(as_director, run).content.decode()
    assert "Three workers fell silent." in shown
    assert "The draft is as it was." in shown


def test_wrong_seconds_a_second_run_and_a_published_plan_are_refused_in_a_sentence(as_director):
    made = planned()
    response = ask(as_director, made, seconds="soon")
    assert response.url == reverse("lessons:plan", args=[made.plan.pk])
    ask(as_director, made)
    ask(as_director, made)
    assert PlanRun.objects.count() == 1
    page = as_director.get(reverse("lessons:plan", args=[made.plan.pk])).content.decode()
    assert "This plan is being planned already." in page
    other = planned(figures={"fan": 0}, status=PlanStatus.PUBLISHED)
    ask(as_director, other)
    assert PlanRun.objects.count() == 1


def test_the_register_points_to_a_run_that_waits_for_an_answer(as_director):
    made = planned()
    run = finished(as_director, made)
    page = as_director.get(reverse("lessons:plan", args=[made.plan.pk])).content.decode()
    assert "waiting for your answer" in page
    assert reverse("lessons:plan-run", args=[run.pk]) in page


def test_a_run_that_found_nothing_waits_for_no_answer(as_director):
    made = planned(figures=dict.fromkeys(["box", "turn", "whisk", "sway", "fan", "chase"]))
    finished(as_director, made)
    page = as_director.get(reverse("lessons:plan", args=[made.plan.pk])).content.decode()
    assert "waiting for your answer" not in page
    assert "The last search found no plan for this draft." in page


def test_an_instructor_watches_and_neither_asks_nor_answers(client, school, instructor):
    made = planned()
    run = PlanRun.objects.create(plan=made.plan, plan_version=1)
    as_person(client, instructor)
    assert "Stop here" not in show(client, run).content.decode()
    for name, pk in [("start", made.plan.pk), ("stop", run.pk), ("answer", run.pk)]:
        assert client.post(reverse(f"lessons:plan-run-{name}", args=[pk])).status_code == 403


def test_a_student_finds_no_run_and_asking_is_no_page_to_read(as_director, client, student):
    made = planned()
    run = PlanRun.objects.create(plan=made.plan, plan_version=1)
    assert as_director.get(reverse("lessons:plan-run-start", args=[made.plan.pk])).status_code == 405
    as_person(client, student)
    assert client.get(reverse("lessons:plan-run", args=[run.pk])).status_code == 404


def test_a_run_that_changes_nothing_says_that_the_plan_holds_and_asks_for_nothing(as_director):
    made = planned()
    answer(as_director, finished(as_director, made), "accept")
    ask(as_director, made)
    run = PlanRun.objects.exclude(answered="accepted").get()
    run_plan(run.pk, worker="here")
    page = show(as_director, run).content.decode()
    assert "The plan holds as it is" in page
    assert "Accept this plan" not in page


@pytest.mark.parametrize(("figures", "lessons"), [(2, 8), (8, 14)])
def test_the_result_costs_the_same_queries_at_any_size(
    as_director, figures, lessons, django_assert_num_queries
):
    made = planned(figures={f"figure {n}": n % 2 * 5 for n in range(figures)}, lessons=lessons)
    names = list(made.plan.figures.values_list("figure__name", flat=True))
    run = PlanRun.objects.create(
        plan=made.plan,
        plan_version=1,
        status=RunStatus.DONE,
        result={
            "status": "feasible",
            "introductions": dict.fromkeys(names, 6),
            "reviews": [],
            "left_out": [],
            "minutes": [],
            "aims": [["left_out", 0, 0]],
            "conflict": [],
            "reasons": [],
            "lessons": [lesson.pk for lesson in made.lessons],
            "first_to_come": 5,
            "loads": [[12, 0, 38]] * lessons,
            "before": {
                "introductions": dict.fromkeys(names, 7),
                "reviews": [],
                "loads": [[0, 0, 38]] * lessons,
            },
        },
    )
    with django_assert_num_queries(7):
        show(as_director, run)
