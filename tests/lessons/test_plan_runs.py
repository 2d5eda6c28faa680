"""Planning runs: the run's own row is the truth, whatever happens to workers and messages."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from curriculum.models import Prerequisite
from lessons import tasks
from lessons.actions.changes import cancel_lesson
from lessons.actions.errors import Overtaken
from lessons.actions.plans import accept_run, leave_run, move_introduction, start_run, stop_run
from lessons.models import PlanRun
from lessons.planners.term import TermPlan
from lessons.runs import run_rows
from lessons.tasks import run_plan
from tests.factories import (
    CourseFactory,
    FigureFactory,
    LevelFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    SchoolFactory,
    weekly_lessons,
)
from tests.lessons.run_rows import messages, now_is

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("before_the_term")]

SILENT = dt.timedelta(seconds=16)


@pytest.fixture
def lessons():
    return weekly_lessons(CourseFactory(level=LevelFactory(rank=2)), 6)


@pytest.fixture
def plan(lessons):
    """Two figures, the second of which needs the first."""
    plan = PlanFactory(course=lessons[0].course)
    level = plan.course.levels.get()
    basic = FigureFactory(level=level, name="basic")
    PlanFigureFactory(plan=plan, figure=basic)
    PlanFigureFactory(plan=plan, figure=FigureFactory(level=level, name="fan", needs=[basic]))
    return plan


@pytest.fixture
def run(plan, director):
    return start_run(plan=plan, seconds=5, by=director)


class TestAsking:
    def test_a_run_waits_and_its_message_is_sent(self, run, plan, director):
        assert (run.status, run.plan_version, run.asked_by) == ("waiting", plan.version, director)
        assert messages(run) == 1

    def test_a_plan_is_planned_once_at_a_time(self, run, plan, director):
        with pytest.raises(ValidationError, match="being planned already"):
            start_run(plan=plan, seconds=5, by=director)
        assert PlanRun.objects.count() == 1
        assert messages(run) == 1

    def test_another_run_may_follow_one_that_ended(self, run, plan, director):
        now_is(run, status="done")
        assert start_run(plan=plan, seconds=5, by=director).pk != run.pk

    @pytest.mark.parametrize("seconds", [0, 601])
    def test_a_run_takes_a_sensible_time(self, plan, director, seconds):
        with pytest.raises(ValidationError, match="between 1 and 600"):
            start_run(plan=plan, seconds=seconds, by=director)

    def test_only_a_draft_is_planned(self, plan, director):
        plan.status = "published"
        plan.save()
        with pytest.raises(ValidationError, match="Only a draft"):
            start_run(plan=plan, seconds=5, by=director)


class TestClaiming:
    def test_one_worker_gets_the_run(self, run):
        first = run_rows.claim(run.pk, worker="first")
        assert run_rows.claim(run.pk, worker="second") is None
        run.refresh_from_db()
        assert (first.attempt, run.status, run.worker, run.attempt) == (1, "running", "first", 1)

    def test_a_run_that_is_gone_or_over_is_not_claimed(self, run):
        assert run_rows.claim(run.pk + 1, worker="first") is None
        now_is(run, status="stopped")
        assert run_rows.claim(run.pk, worker="first") is None


class TestBeating:
    def test_a_beat_writes_the_time_and_how_far_it_is(self, run, own):
        now_is(run, heartbeat=timezone.now() - SILENT)
        assert own.beat({run.pk: {"aims": [["peak", 12, 10]], "seconds": 1.5}}) is False
        run.refresh_from_db()
        assert timezone.now() - run.heartbeat < dt.timedelta(seconds=5)
        assert run.progress == {"aims": [["peak", 12, 10]], "seconds": 1.5}

    def test_a_beat_without_news_leaves_the_progress(self, run, own):
        now_is(run, progress={"seconds": 1})
        own.beat()
        run.refresh_from_db()
        assert run.progress == {"seconds": 1}

    def test_a_beat_hears_the_wish_to_stop(self, run, own):
        stop_run(run=run)
        assert own.beat() is True

    def test_a_beat_hears_that_the_run_is_somebody_else_s(self, run, own):
        now_is(run, attempt=2)
        assert own.beat() is None


class TestTakingUp:
    def test_a_silent_run_waits_again_and_is_sent_again(self, run, own):
        now_is(run, heartbeat=timezone.now() - SILENT)
        assert run_rows.sweep() == [run.pk]
        run.refresh_from_db()
        assert (run.status, run.attempt) == ("waiting", 1)
        assert messages(run) == 2
        assert run_rows.claim(run.pk, worker="second").attempt == 2

    def test_a_run_that_beats_is_left_alone(self, run, own):
        now_is(run, heartbeat=timezone.now() - dt.timedelta(seconds=13))
        assert run_rows.sweep() == []
        assert messages(run) == 1

    def test_of_two_sweepers_one_takes_the_run_up(self, run, own):
        now_is(run, heartbeat=timezone.now() - SILENT)
        seen = (run.pk, run.attempt, run.status, run.heartbeat)
        assert [run_rows.take_up(*seen), run_rows.take_up(*seen)] == [True, False]
        assert messages(run) == 2

    def test_after_three_attempts_it_has_failed_and_says_so(self, run, own):
        now_is(run, heartbeat=timezone.now() - SILENT, attempt=3)
        assert run_rows.sweep() == []
        run.refresh_from_db()
        assert run.status == "failed"
        assert "begun 3 times" in run.failure
        assert messages(run) == 1

    def test_a_silent_run_that_was_to_stop_is_not_begun_again(self, run, own):
        stop_run(run=run)
        now_is(run, heartbeat=timezone.now() - SILENT)
        assert run_rows.sweep() == []
        run.refresh_from_db()
        assert run.status == "stopped"

    def test_a_waiting_run_whose_message_was_lost_is_sent_again(self, run):
        DBTaskResult.objects.all().delete()
        now_is(run, created_at=timezone.now() - dt.timedelta(seconds=61))
        assert run_rows.sweep() == [run.pk]
        assert run_rows.sweep() == [], "not before another minute"
        assert messages(run) == 1

    def test_a_run_that_waits_long_in_a_long_queue_is_not_sent_again(self, run):
        now_is(run, created_at=timezone.now() - dt.timedelta(minutes=5))
        assert run_rows.sweep() == []
        assert messages(run) == 1

    def test_a_worker_that_wakes_up_too_late_writes_nothing(self, run, own):
        now_is(run, heartbeat=timezone.now() - SILENT)
        run_rows.sweep()
        assert own.beat() is None
        second = run_rows.claim(run.pk, worker="second")
        assert not own.finish({run.pk: {"status": "optimal", "from": "first"}})
        assert not own.fail("late")
        assert not own.hand_back()
        assert second.finish({run.pk: {"status": "optimal", "from": "second"}})
        run.refresh_from_db()
        assert (run.status, run.result["from"], run.failure) == ("done", "second", "")

    def test_handed_back_in_good_order_it_is_no_failed_attempt(self, run, own):
        assert own.hand_back()
        run.refresh_from_db()
        assert (run.status, run.attempt, run.worker) == ("waiting", 0, "")
        assert messages(run) == 2


class TestStopping:
    def test_a_waiting_run_stops_at_once(self, run):
        stop_run(run=run)
        assert (run.status, run.is_over) == ("stopped", True)
        assert run_plan(run.pk, worker="first") == "nothing to do"

    def test_a_running_one_keeps_the_best_it_has(self, run, own):
        stop_run(run=run)
        assert run.status == "running"
        own.finish({run.pk: {"status": "feasible"}})
        run.refresh_from_db()
        assert (run.status, run.result) == ("stopped", {"status": "feasible"})

    def test_one_that_is_over_stays_as_it_is(self, run):
        now_is(run, status="done")
        stop_run(run=run)
        assert (run.status, run.wish_to_stop) == ("done", False)


class TestPlanning:
    def test_a_run_plans_the_term(self, run, lessons):
        assert run_plan(run.pk, worker="first") == "ended"
        run.refresh_from_db()
        assert (run.status, run.worker) == ("done", "first")
        result = run.result
        assert result["status"] == "optimal"
        assert result["introductions"]["basic"] < result["introductions"]["fan"]
        assert [name for name, _, _ in result["aims"]] == [
            "left_out",
            "moved",
            "late_reviews",
            "peak",
            "order",
        ]
        assert result["lessons"] == [lesson.pk for lesson in lessons]
        assert (result["left_out"], result["conflict"], len(result["minutes"])) == ([], [], 6)
        assert all(len(review) == 3 for review in result["reviews"])

    def test_an_impossible_term_ends_with_the_reasons(self, run, plan, lessons):
        plan.figures.filter(figure__name="fan").update(pinned=lessons[0])
        run_plan(run.pk, worker="first")
        run.refresh_from_db()
        assert (run.status, run.result["status"], run.result["introductions"]) == ("done", "impossible", {})
        assert any("fan" in sentence for sentence in run.result["conflict"])

    def test_a_term_that_is_no_question_fails_with_a_sentence(self, run, plan):
        """A circle written past the actions that refuse it."""
        basic, fan = (plan.figures.get(figure__name=name).figure for name in ("basic", "fan"))
        Prerequisite.objects.create(figure=basic, needs=fan)
        run_plan(run.pk, worker="first")
        run.refresh_from_db()
        assert run.status == "failed"
        assert "circle" in run.failure

    def test_an_error_of_the_planner_s_own_fails_the_run_and_is_logged(self, run, caplog):
        def broken(problem, **how):
            raise ZeroDivisionError

        run_plan(run.pk, worker="first", planner=broken)
        run.refresh_from_db()
        assert run.status == "failed"
        assert "error of its own" in run.failure
        assert "ZeroDivisionError" in caplog.text

    def test_a_lesson_is_past_by_the_school_s_own_calendar(self, run, lessons, settings, monkeypatch):
        """Half past eleven in the evening of 6 January in London is already 7 January in Auckland."""
        settings.TODAY = ""
        evening = dt.datetime(2026, 1, 6, 23, 30, tzinfo=dt.UTC)
        monkeypatch.setattr(timezone, "now", lambda: evening)
        SchoolFactory(time_zone="Pacific/Auckland")
        seen = []

        def planner(problem, **how):
            seen.extend(slot.index for slot in problem.lessons if slot.taught is not None)
            return TermPlan("unknown")

        run_plan(run.pk, worker="first", planner=planner)
        assert seen == [0]

    def test_the_planner_is_given_the_run_s_seconds(self, run):
        asked = {}

        def planner(problem, **how):
            asked.update(how)
            return TermPlan("unknown")

        run_plan(run.pk, worker="first", planner=planner)
        run.refresh_from_db()
        assert asked["seconds"] == 5.0
        assert (run.status, run.result["status"]) == ("done", "unknown")

    def test_a_worker_told_to_end_hands_its_run_back(self, run, monkeypatch):
        """The planner here ends only when it is asked to."""
        monkeypatch.setattr(tasks, "LOOK_SECONDS", 0.01)

        def planner(problem, *, should_stop, **how):
            tasks.ending.set()
            while not should_stop():
                tasks.ending.wait(0.01)
            return TermPlan("feasible")

        try:
            assert run_plan(run.pk, worker="first", planner=planner) == "handed back"
        finally:
            tasks.ending.clear()
        run.refresh_from_db()
        assert (run.status, run.attempt, run.result) == ("waiting", 0, None)


class TestAnswering:
    @pytest.fixture
    def planned(self, run):
        run_plan(run.pk, worker="first")
        run.refresh_from_db()
        return run

    def stands(self, plan):
        return {
            row.figure.name: [part.lesson_id for part in row.introductions.all()]
            for row in plan.figures.all()
        }

    def test_an_accepted_plan_stands_in_the_draft(self, planned, plan, director):
        accept_run(run=planned, by=director)
        lessons, introductions = planned.result["lessons"], planned.result["introductions"]
        assert self.stands(plan) == {key: [lessons[index]] for key, index in introductions.items()}
        assert planned.answered == "accepted"
        plan.refresh_from_db()
        assert plan.version == 2

    def test_a_left_one_leaves_the_draft_as_it_stood(self, planned, plan, director):
        leave_run(run=planned, by=director)
        assert self.stands(plan) == {"basic": [], "fan": []}
        planned.refresh_from_db()
        assert planned.answered == "left"

    def test_a_run_is_answered_once(self, planned, director):
        leave_run(run=planned, by=director)
        with pytest.raises(Overtaken, match="answered already"):
            accept_run(run=planned, by=director)

    def test_a_draft_changed_since_is_not_overwritten(self, planned, plan, lessons, director):
        fan = plan.figures.get(figure__name="fan")
        move_introduction(plan=plan, version=1, plan_figure=fan, lesson=lessons[3], by=director)
        with pytest.raises(Overtaken, match="changed after this run began"):
            accept_run(run=planned, by=director)
        assert self.stands(plan)["fan"] == [lessons[3].pk]
        planned.refresh_from_db()
        assert planned.answered == ""

    def test_a_lesson_cancelled_since_makes_the_plan_stale(self, planned, lessons, director):
        cancel_lesson(lesson=lessons[4], because="snow", by=director)
        with pytest.raises(Overtaken, match="moved or cancelled"):
            accept_run(run=planned, by=director)

    def test_a_figure_renamed_since_makes_the_plan_stale(self, planned, plan, director):
        figure = plan.figures.get(figure__name="fan").figure
        figure.name = "open fan"
        figure.save()
        with pytest.raises(Overtaken, match="figures to teach changed"):
            accept_run(run=planned, by=director)

    def test_a_lesson_recorded_since_makes_the_plan_stale(self, planned, lessons, director):
        RecordFactory(lesson=lessons[planned.result["introductions"]["basic"]])
        with pytest.raises(Overtaken, match="went by since"):
            accept_run(run=planned, by=director)

    def test_a_run_that_has_not_ended_is_not_answered(self, run, director):
        for answer in (accept_run, leave_run):
            with pytest.raises(ValidationError):
                answer(run=run, by=director)
