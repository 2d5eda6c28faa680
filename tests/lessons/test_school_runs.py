"""The whole school planned at one word: a task a course, tied courses one task, each course planned once."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from lessons.actions.runs import start_run
from lessons.actions.school_runs import accept_all, courses_to_plan, plan_the_school, stop_the_school
from lessons.models import CourseGroup, PlanRun
from lessons.runs import run_rows
from lessons.tasks import run_plan
from tests.factories import FigureFactory, LevelFactory, TermFactory
from tests.lessons.planned import planned

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("before_the_term")]


@pytest.fixture
def term():
    return TermFactory()


@pytest.fixture
def school_of(term):
    """`alone` courses of their own and `tied` ones of one group, on one level; none is planned yet."""

    def make(alone, tied=0):
        group, level = CourseGroup.objects.create(name="pair"), LevelFactory()
        made = [planned(figures={f"box {n}": None}, term=term, recorded=False) for n in range(alone)]
        for number in range(tied):
            pair = planned(figures={}, term=term, level=level, group=group, recorded=False)
            if number == 0:
                figures = planned_figures(level)
            pair.plan.figures.bulk_create(
                pair.plan.figures.model(plan=pair.plan, figure=figure) for figure in figures
            )
            made.append(pair)
        return made

    return make


def planned_figures(level):
    return [FigureFactory(level=level, name=name, minutes_to_introduce=12) for name in ("turn", "whisk")]


def messages():
    return sorted(row.args_kwargs["args"][0] for row in DBTaskResult.objects.all())


def work(school_run):
    """What workers do, one message after the other."""
    for run in messages():
        run_plan(run, worker="here")
    return school_run


class TestAsking:
    def test_every_course_is_a_task_of_its_own_and_tied_ones_are_one(self, school_of, term, director):
        school_of(2, tied=2)
        school_run = plan_the_school(term=term, by=director)
        leaders = [run for run in school_run.runs.all() if run.led_by is None]
        assert (school_run.runs.count(), len(leaders)) == (4, 3)
        assert messages() == sorted(run.pk for run in leaders)

    def test_a_course_without_a_draft_gets_one_and_a_draft_is_planned_as_it_is(self, term, director):
        made = planned(term=term, recorded=False)
        bare = planned(term=term, recorded=False)
        bare.plan.delete()
        school_run = plan_the_school(term=term, by=director)
        plans = {run.plan.course: run.plan for run in school_run.runs.all()}
        assert plans[made.course] == made.plan
        assert plans[bare.course].status == "draft"

    def test_courses_with_nothing_to_come_are_left_alone(self, term, director, settings):
        planned(figures={"box": 0}, term=term, lessons=3, recorded=False)
        long = planned(figures={"box": 0}, term=term, lessons=9, recorded=False)
        settings.TODAY = "2026-02-04"
        assert [course for tied in courses_to_plan(term) for course in tied] == [long.course]

    def test_a_term_without_such_courses_is_refused_in_a_sentence(self, term, director):
        with pytest.raises(ValidationError, match="there is nothing to plan"):
            plan_the_school(term=term, by=director)

    def test_what_is_planned_already_is_not_planned_twice(self, school_of, term, director):
        one, other = school_of(2)
        start_run(plan=one.plan, seconds=5, by=director)
        school_run = plan_the_school(term=term, by=director)
        assert [run.plan for run in school_run.runs.all()] == [other.plan]
        with pytest.raises(ValidationError, match="are being planned already"):
            plan_the_school(term=term, by=director)
        assert term.school_runs.count() == 1

    def test_a_group_alone_may_be_planned(self, school_of, term, director):
        made = school_of(1, tied=2)
        school_run = plan_the_school(term=term, by=director, group=made[-1].course.group_id)
        assert {run.plan.course for run in school_run.runs.all()} == {made[1].course, made[2].course}


class TestPlanning:
    def test_every_course_is_planned_and_tied_ones_in_step(self, school_of, term, director):
        school_of(1, tied=2)
        school_run = work(plan_the_school(term=term, by=director))
        runs = list(school_run.runs.order_by("pk"))
        assert {run.status for run in runs} == {"done"}
        one, other = (run.result["introductions"] for run in runs[1:])
        assert one == other
        assert one.keys() == {"turn", "whisk"}

    def test_the_followers_share_the_fate_of_the_one_that_leads(self, school_of, term, director):
        school_of(0, tied=2)
        school_run = plan_the_school(term=term, by=director)
        leader, follower = school_run.runs.order_by("pk")
        own = run_rows.claim(leader.pk, worker="first")
        follower.refresh_from_db()
        assert (follower.status, follower.worker) == ("running", "first")
        PlanRun.objects.update(heartbeat=timezone.now() - dt.timedelta(seconds=20))
        assert run_rows.sweep() == [leader.pk]
        follower.refresh_from_db()
        assert follower.status == "waiting"
        assert not own.finish({leader.pk: {"status": "optimal"}, follower.pk: {"status": "optimal"}})
        assert run_rows.claim(leader.pk, worker="second").fail("It broke.")
        follower.refresh_from_db()
        assert (follower.status, follower.failure) == ("failed", "It broke.")

    def test_progress_is_kept_by_course(self, school_of, term, director):
        school_of(0, tied=2)
        school_run = plan_the_school(term=term, by=director)
        leader, follower = school_run.runs.order_by("pk")
        run_rows.claim(leader.pk, worker="first").beat({follower.pk: {"seconds": 3}})
        follower.refresh_from_db()
        assert follower.progress == {"seconds": 3}


class TestStopping:
    def test_what_waits_stops_at_once_and_what_runs_is_asked_to(self, school_of, term, director):
        school_of(1, tied=2)
        school_run = plan_the_school(term=term, by=director)
        alone, leader, follower = school_run.runs.order_by("pk")
        run_rows.claim(alone.pk, worker="first")
        stop_the_school(school_run=school_run)
        for run in (alone, leader, follower):
            run.refresh_from_db()
        assert (alone.status, alone.wish_to_stop) == ("running", True)
        assert leader.status == follower.status == "stopped"


class TestTakingOver:
    def test_all_plans_stand_in_their_drafts_and_nothing_is_published(self, school_of, term, director):
        made = school_of(1, tied=2)
        school_run = work(plan_the_school(term=term, by=director))
        done = accept_all(school_run=school_run, by=director)
        assert (done.plans, done.refused) == (3, ())
        assert made[0].row("box 0").introductions.count() == 1
        assert not any(one.course.plans.filter(status="published").exists() for one in made)

    def test_one_that_was_changed_since_stops_no_other(self, school_of, term, director):
        made = school_of(2)
        school_run = work(plan_the_school(term=term, by=director))
        made[0].plan.version += 1
        made[0].plan.save()
        done = accept_all(school_run=school_run, by=director)
        assert done.plans == 1
        assert done.refused[0].startswith(str(made[0].course))


class TestPages:
    def test_it_says_first_what_would_be_planned(self, as_director, school_of, term):
        school_of(1, tied=2)
        page = as_director.get(reverse("lessons:school-plan", args=[term.pk])).content.decode()
        assert "3 courses with lessons to come" in page
        assert page.count("in step, planned together") == 1

    def test_a_room_booked_twice_is_said_as_a_clash(self, as_director, school_of, term):
        one, other = school_of(2)
        other.course.lessons.filter(date="2026-01-27").update(room=one.lessons[3].room)
        page = as_director.get(reverse("lessons:school-plan", args=[term.pk])).content.decode()
        assert "Booked twice at one time" in page

    def test_asked_for_it_leads_to_the_page_of_all_courses(self, as_director, school_of, term):
        school_of(1, tied=2)
        answer = as_director.post(reverse("lessons:school-plan", args=[term.pk]), follow=True)
        page = answer.content.decode()
        assert "0 of 3 courses are planned." in page
        assert page.count("waits for a worker") == 3
        school_run = term.school_runs.get()
        work(school_run)
        page = as_director.get(reverse("lessons:school-run", args=[school_run.pk])).content.decode()
        assert "3 of 3 courses are planned." in page
        assert "Take over all 3 plans into the drafts" in page
        answer = as_director.post(
            reverse("lessons:school-run-accept", args=[school_run.pk]), follow=True
        ).content.decode()
        assert "3 drafts follow their new plan. Nothing is published yet." in answer
        assert "taken over" in answer
        for run in school_run.runs.all():
            assert f'{reverse("lessons:plan", args=[run.plan_id])}">Open the draft' in answer

    def test_a_plan_that_moves_figures_says_how_many(self, as_director, school_of, term):
        school_of(1)
        as_director.post(reverse("lessons:school-plan", args=[term.pk]))
        school_run = work(term.school_runs.get())
        run = school_run.runs.get()
        name, at = next(iter(run.result["introductions"].items()))
        run.result["before"]["introductions"] = {name: at + 1}
        run.save()
        page = as_director.get(reverse("lessons:school-run", args=[school_run.pk])).content.decode()
        assert "1 figure goes to another lesson" in page

    def test_plans_that_cannot_be_taken_over_any_more_lead_to_planning_again(
        self, as_director, school_of, term
    ):
        [made] = school_of(1)
        as_director.post(reverse("lessons:school-plan", args=[term.pk]))
        school_run = work(term.school_runs.get())
        made.plan.version += 1
        made.plan.save()
        page = as_director.get(reverse("lessons:school-run", args=[school_run.pk])).content.decode()
        assert "Take over" not in page
        assert "Plan it again" in page
        assert f'action="{reverse("lessons:school-plan", args=[term.pk])}"' in page

    def test_stopping_leads_back_to_it(self, as_director, school_of, term):
        school_of(2)
        as_director.post(reverse("lessons:school-plan", args=[term.pk]))
        school_run = term.school_runs.get()
        answer = as_director.post(reverse("lessons:school-run-stop", args=[school_run.pk]), follow=True)
        assert answer.content.decode().count("stopped before a plan was found") == 2

    def test_a_term_with_nothing_to_plan_says_so(self, as_director, term):
        answer = as_director.post(reverse("lessons:school-plan", args=[term.pk])).content.decode()
        assert "there is nothing to plan" in answer

    def test_htmx_fetches_the_fragment(self, as_director, school_of, term):
        school_of(1)
        as_director.post(reverse("lessons:school-plan", args=[term.pk]))
        address = reverse("lessons:school-run", args=[term.school_runs.get().pk])
        assert "<html" not in as_director.get(address, HTTP_HX_REQUEST="true").content.decode()

    @pytest.mark.parametrize("size", [2, 6])
    def test_both_pages_cost_the_same_for_any_number_of_courses(
        self, as_director, school_of, term, size, django_assert_num_queries
    ):
        school_of(size, tied=2)
        with django_assert_num_queries(12):
            as_director.get(reverse("lessons:school-plan", args=[term.pk]))
        as_director.post(reverse("lessons:school-plan", args=[term.pk]))
        school_run = work(term.school_runs.get())
        with django_assert_num_queries(9):
            as_director.get(reverse("lessons:school-run", args=[school_run.pk]))
