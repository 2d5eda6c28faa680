"""Something came between: the rest of the term is planned again, offered, and accepted or left."""

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from lessons.actions.again import accept_again, plan_rest_again, propose_again
from lessons.actions.calendar import close_days
from lessons.actions.changes import cancel_lesson, give_lesson, restore_lesson
from lessons.actions.errors import Overtaken
from lessons.actions.kinds import set_kind
from lessons.actions.milestones import save_milestone
from lessons.actions.records import write_record
from lessons.actions.runs import leave_run
from lessons.actions.teachers import say_away
from lessons.models import LessonSession, Milestone, PlanReview, PlanRun, RecordedFigure
from lessons.problems import findings
from lessons.runs.run_rows import Claim
from lessons.tasks import run_plan
from tests.lessons.planned import planned

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("story_day")]


@pytest.fixture
def made():
    """A published plan that holds: the sixth lesson is new for the turn, the seventh for the whisk."""
    made = planned(status="published")
    level = made.course.levels.get()
    level.minutes = 60
    for name, lessons in {"turn": (6, 7, 9), "whisk": (7, 8, 10)}.items():
        for index in lessons:
            PlanReview.objects.create(
                plan_figure=made.row(name), lesson=made.lessons[index], due=made.lessons[index]
            )
    assert findings(made.plan) == ()
    return made


def ask(made, by, **how):
    return plan_rest_again(courses=[made.course.pk], by=by, occasion="Something came between.", **how)


def ended(run):
    run_plan(run.pk, worker="first")
    run.refresh_from_db()
    return run


def published(made):
    return made.course.plans.get(status="published")


def new_in(made, plan=None):
    rows = (plan or published(made)).figures.all()
    return {
        row.figure.name: [made.lessons.index(part.lesson) for part in row.introductions.all()] for row in rows
    }


class TestAsking:
    def test_a_plan_that_holds_is_not_planned_again(self, made, director):
        assert ask(made, director) == []

    def test_a_lesson_lost_asks_for_it(self, made, director):
        cancel_lesson(lesson=made.lessons[5], because="flood", by=director)
        run = PlanRun.objects.get()
        said = "The lesson of Tuesday 10 February is cancelled: flood."
        assert (run.kind, run.plan, run.asked_by, run.occasion) == ("again", made.plan, director, said)

    def test_days_without_class_ask_for_it_once_a_course(self, made, director):
        close_days(first_day=made.lessons[5].date, last_day=made.lessons[6].date, reason="Frost", by=director)
        assert PlanRun.objects.get().occasion == "No class from Tuesday 10 February: Frost."

    def test_one_day_without_class_is_that_day_not_the_time_from_it(self, made, director):
        day = made.lessons[5].date
        close_days(first_day=day, last_day=day, reason="Frost", by=director)
        assert PlanRun.objects.get().occasion == "No class on Tuesday 10 February: Frost."

    def test_a_record_that_differs_asks_for_it(self, made, director, settings):
        settings.TODAY = made.lessons[5].date.isoformat()
        not_reached = {made.row("turn").figure: ("not_reached", "", None)}
        write_record(
            lesson=made.lessons[5], version=None, outcomes=not_reached, present={}, by=director, early=True
        )
        assert PlanRun.objects.get().occasion == "The lesson of Tuesday 10 February is written up."

    def test_a_lesson_in_which_nothing_may_be_new_any_more_asks_for_it(self, made, director):
        set_kind(lesson=made.lessons[5], kind="revision", by=director)
        assert "is of another kind: revision" in PlanRun.objects.get().occasion

    def test_somebody_who_teaches_it_takes_the_lesson_and_all_is_well(self, made, director, instructor):
        made.course.courseinstructor_set.create(person=instructor)
        say_away(
            person=instructor, first_day=made.lessons[5].date, last_day=made.lessons[5].date, by=director
        )
        run = ended(PlanRun.objects.get())
        assert run.result["proposals"][0]["introductions"]["turn"] != 5
        give_lesson(lesson=made.lessons[5], to=director, by=director)
        run.refresh_from_db()
        assert run.answered == "overtaken"
        assert PlanRun.objects.count() == 1

    def test_a_record_as_planned_asks_for_nothing(self, made, director, settings):
        settings.TODAY = made.lessons[5].date.isoformat()
        taught = {made.row("turn").figure: ("introduced", "", None)}
        write_record(
            lesson=made.lessons[5], version=None, outcomes=taught, present={}, by=director, early=True
        )
        assert not PlanRun.objects.exists()

    def test_a_milestone_asks_for_it_where_the_plan_comes_too_late(self, made, director):
        party = Milestone(course=made.course, name="Party", day=made.lessons[5].date)
        save_milestone(milestone=party, version=0, figures=[made.row("whisk").figure], by=director)
        assert PlanRun.objects.get().occasion == "Party is on Tuesday 10 February."

    def test_a_figure_that_went_badly_asks_for_it(self, made, director):
        RecordedFigure.objects.create(
            record=made.lessons[4].record,
            figure=made.row("box").figure,
            outcome="reviewed",
            went="not_yet",
        )
        assert len(ask(made, director)) == 1

    def test_an_instructor_may_ask_at_any_time(self, made, instructor):
        run = ended(propose_again(course=made.course, by=instructor))
        assert (run.asked_by, run.answered) == (instructor, "holds")
        assert run.result["holds"]

    def test_without_a_published_plan_there_is_nothing_to_plan_again(self, made, instructor):
        made.plan.status = "draft"
        made.plan.save()
        with pytest.raises(ValidationError, match="no published plan"):
            propose_again(course=made.course, by=instructor)

    def test_after_the_last_lesson_there_is_nothing_to_plan(self, made, instructor, settings):
        settings.TODAY = "2026-06-01"
        with pytest.raises(ValidationError, match="No lesson of this course is still to come"):
            propose_again(course=made.course, by=instructor)

    def test_what_was_asked_twice_is_planned_once(self, made, director):
        cancel_lesson(lesson=made.lessons[5], because="flood", by=director)
        assert ask(made, director) == ask(made, director)

    def test_a_later_run_overtakes_what_an_earlier_one_proposed(self, made, director):
        cancel_lesson(lesson=made.lessons[5], because="flood", by=director)
        first = ended(ask(made, director)[0])
        assert first.answered == ""
        restore_lesson(lesson=made.lessons[5], by=director)
        assert ask(made, director) == []
        first.refresh_from_db()
        assert first.answered == "overtaken"


class TestProposing:
    @pytest.fixture
    def run(self, made, director):
        cancel_lesson(lesson=made.lessons[5], because="flood", by=director)
        return ended(ask(made, director)[0])

    def test_it_moves_least_and_says_why(self, run, made):
        (proposal,) = run.result["proposals"]
        assert proposal["name"] == "leave_nothing_out"
        assert proposal["why"]["turn"] == "turn was planned for Tuesday 10 February, which falls out."
        assert proposal["introductions"]["box"] == 0

    def test_what_students_read_stays_until_the_director_says_so(self, run, made):
        assert published(made) == made.plan
        assert new_in(made)["turn"] == [5]

    def test_accepted_it_is_the_published_plan_and_the_old_one_is_kept(self, run, made, director):
        new = accept_again(run=run, proposal="leave_nothing_out", by=director)
        assert published(made) == new
        assert (new.published_by, new.created_by) == (director, director)
        made.plan.refresh_from_db()
        assert made.plan.status == "retired"
        assert new_in(made)["turn"] == [6]
        assert findings(new) == ()
        run.refresh_from_db()
        assert run.answered == "accepted"

    def test_left_it_stays_as_it_is(self, run, made, director):
        leave_run(run=run, by=director)
        assert published(made) == made.plan

    def test_it_is_answered_once(self, run, director):
        leave_run(run=run, by=director)
        with pytest.raises(Overtaken, match="answered already"):
            accept_again(run=run, proposal="leave_nothing_out", by=director)

    def test_a_proposal_it_never_made_is_refused(self, run, director):
        with pytest.raises(ValidationError, match="no such proposal"):
            accept_again(run=run, proposal="move_least", by=director)

    def test_what_changed_since_is_not_overwritten(self, run, made, director):
        made.course.lessons.filter(pk=made.lessons[8].pk).update(minutes=90)
        with pytest.raises(Overtaken, match="changed in this course since"):
            accept_again(run=run, proposal="leave_nothing_out", by=director)
        assert published(made) == made.plan
        run.refresh_from_db()
        assert run.answered == ""

    def test_another_published_plan_is_not_overwritten(self, run, made, director):
        made.plan.status = "retired"
        made.plan.save()
        with pytest.raises(Overtaken, match="Another plan has been published"):
            accept_again(run=run, proposal="leave_nothing_out", by=director)


class TestWhatNoLongerFits:
    @pytest.fixture
    def run(self, made, director):
        """One lesson is left in which anything may be new, and two figures to teach."""
        for index in (5, 6, 7, 8, 9):
            if index != 6:
                cancel_lesson(lesson=made.lessons[index], because="flood", by=director)
        return ended(ask(made, director)[0])

    def test_it_is_named_with_why_and_with_what_could_give_way(self, run):
        assert run.result["proposals"][0]["left_out"] == ["whisk"]
        assert run.result["conflict"]
        assert any(way["aims"] for way in run.result["ways"])

    def test_accepted_it_counts_as_optional_from_then_on(self, run, made, director):
        new = accept_again(run=run, proposal="leave_nothing_out", by=director)
        assert not new.figures.get(figure__name="whisk").required
        assert findings(new) == ()


def test_what_came_between_while_it_planned_is_planned_once_more(made, director, monkeypatch):
    cancel_lesson(lesson=made.lessons[5], because="flood", by=director)
    (run,) = ask(made, director)
    finish = Claim.finish

    def cancelled_meanwhile(own, results):
        cancel_lesson(lesson=made.lessons[8], because="gale", by=director)
        return finish(own, results)

    monkeypatch.setattr(Claim, "finish", cancelled_meanwhile)
    run_plan(run.pk, worker="first")
    later = PlanRun.objects.exclude(pk=run.pk).get()
    assert (later.kind, later.status) == ("again", "waiting")
    run.refresh_from_db()
    assert run.answered == "overtaken"


@pytest.mark.parametrize("figures", [2, 12])
def test_asking_costs_the_same_for_any_number_of_figures(director, figures, django_assert_num_queries):
    made = planned(
        figures={f"figure {number}": 5 + number % 5 for number in range(figures)}, status="published"
    )
    LessonSession.objects.filter(pk=made.lessons[5].pk).update(cancelled_at=timezone.now())
    with django_assert_num_queries(22):
        assert len(ask(made, director)) == 1
