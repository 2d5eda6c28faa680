"""The register: lessons across on the ruler of weeks, figures down, and what does not fit."""

import datetime as dt

import pytest
from django.urls import reverse

from lessons.actions.plans import start_draft
from lessons.board.aims import aims_of
from lessons.board.build import board_from
from lessons.models import (
    LessonSession,
    Milestone,
    Outcome,
    PlanIntroduction,
    PlanReview,
    PlanStatus,
    RecordedFigure,
    TermPlan,
)
from lessons.problems import course_problem, write_placements
from tests.factories import ClosureFactory, FigureFactory, PlanFigureFactory, RecordFactory
from tests.lessons.planned import as_person, planned

pytestmark = pytest.mark.usefixtures("story_day")


def show(client, plan):
    response = client.get(reverse("lessons:plan", args=[plan.pk]))
    assert response.status_code == 200
    return response


def board(client, plan):
    return show(client, plan).context["board"]


def row(board, name):
    return next(row for row in board.rows if row.name == name)


def marks(board, name):
    """Lesson number -> the mark there, for one figure."""
    return {
        cell.column.number: (mark.kind, mark.state) for cell in row(board, name).cells for mark in cell.marks
    }


def test_what_was_planned_stands_as_new_and_what_was_recorded_as_done(as_director):
    made = planned(status=PlanStatus.PUBLISHED)
    shown = board(as_director, made.plan)
    assert marks(shown, "box") == {1: ("new", "done")}
    assert marks(shown, "turn") == {6: ("new", "planned")}
    assert row(shown, "turn").needs == ("box",)


def test_again_is_another_mark_than_new(as_director):
    made = planned()
    figure = FigureFactory(level=made.course.levels.get(), name="sway")
    PlanFigureFactory(
        plan=made.plan, figure=figure, new_in=made.lessons[5], again_in=[made.lessons[6], made.lessons[7]]
    )
    assert marks(board(as_director, made.plan), "sway") == {
        6: ("new", "planned"),
        7: ("again", "planned"),
        8: ("again", "planned"),
    }


def test_a_figure_in_parts_is_carried_over(as_director):
    made = planned(figures={"box": 0, "turn": 5})
    PlanIntroduction.objects.create(plan_figure=made.row("turn"), part=1, lesson=made.lessons[6])
    made.plan.figures.filter(figure__name="turn").update(parts=2)
    shown = board(as_director, made.plan)
    assert marks(shown, "turn") == {6: ("new", "planned"), 7: ("carry", "planned")}
    gauges = [column.gauge for column in shown.columns if not column.is_gap]
    assert [gauge.new for gauge in gauges[5:7]] == [6, 6]


def test_a_figure_begun_and_unfinished_is_carried_into_the_next_lesson_with_its_minutes(as_director):
    made = planned(figures={"box": 0, "turn": 4}, recorded=False, status=PlanStatus.PUBLISHED)
    for lesson in made.lessons[:4]:
        RecordFactory(lesson=lesson)
    record = RecordFactory(lesson=made.lessons[4])
    turn = made.row("turn").figure
    RecordedFigure.objects.create(
        record=record, figure=turn, outcome=Outcome.FINISH_LATER, went="shaky", minutes_owed=5
    )
    shown = board(as_director, made.plan)
    assert marks(shown, "turn") == {5: ("new", "begun"), 6: ("carry", "planned")}
    assert next(column for column in shown.columns if column.number == 6).gauge.new == 5


def test_what_was_planned_and_not_reached_stays_visible_and_weighs_nothing(as_director):
    made = planned(figures={"box": 0, "turn": 1}, recorded=False, status=PlanStatus.PUBLISHED)
    for lesson in made.lessons[:5]:
        RecordFactory(lesson=lesson)
    shown = board(as_director, made.plan)
    assert marks(shown, "turn")[2] == ("new", "missed")
    assert shown.columns[1].gauge.used == 0


class TestThePastReadsTheSameInEveryPlan:
    def story(self):
        """box was taught, turn begun in lesson 2 and finished in 4, though the plan had it in 3; box was
        danced again in lesson 4."""
        made = planned(figures={"box": 0, "turn": 2}, recorded=False, status=PlanStatus.PUBLISHED)
        box, turn = made.row("box").figure, made.row("turn").figure
        PlanReview.objects.create(plan_figure=made.row("turn"), lesson=made.lessons[3], due=made.lessons[3])
        told = [{box: "introduced"}, {turn: "finish_later"}, {}, {turn: "introduced", box: "reviewed"}, {}]
        for lesson, taught in zip(made.lessons, told, strict=False):
            RecordFactory(lesson=lesson, taught=taught)
        return made

    def past(self, client, plan):
        shown = board(client, plan)
        gauges = [(one.gauge.new, one.gauge.again) for one in shown.columns if one.is_past]
        return gauges, marks(shown, "box"), marks(shown, "turn")

    def test_minutes_come_from_the_records(self, as_director):
        made = self.story()
        gauges, _, turn = self.past(as_director, made.plan)
        assert gauges == [(12, 0), (6, 0), (0, 0), (6, 4), (0, 0)]
        assert turn == {2: ("new", "begun"), 3: ("new", "missed"), 4: ("carry", "done")}

    def test_a_draft_planned_anew_changes_nothing_of_it(self, as_director, director):
        made = self.story()
        before = self.past(as_director, made.plan)
        draft = start_draft(course=made.course, by=director)
        problem = course_problem(draft)
        write_placements(problem, {"box": 0, "turn": 3}, ())
        assert self.past(as_director, draft) == before

    def test_each_lesson_is_told_by_the_plan_that_was_published_then(self, as_director, director):
        made = self.story()
        TermPlan.objects.update(
            status=PlanStatus.RETIRED, published_at=dt.datetime(2026, 1, 1, tzinfo=dt.UTC)
        )
        later = start_draft(course=made.course, by=director, source=made.plan)
        PlanIntroduction.objects.filter(plan_figure__plan=later).update(lesson=made.lessons[4])
        TermPlan.objects.filter(pk=later.pk).update(
            status=PlanStatus.PUBLISHED, published_at=dt.datetime(2026, 1, 30, tzinfo=dt.UTC)
        )
        _, box, turn = self.past(as_director, later)
        assert box == {1: ("new", "done"), 4: ("again", "done"), 5: ("new", "missed")}
        assert turn[3] == ("new", "missed")


def test_past_lessons_tonight_and_a_missing_record_are_told_apart(as_director, settings):
    settings.TODAY = "2026-02-10"
    made = planned()
    columns = {column.number: column for column in board(as_director, made.plan).columns}
    assert columns[5].is_past
    assert columns[5].is_recorded
    assert columns[6].is_tonight
    assert not columns[7].is_past
    made.lessons[4].record.delete()
    assert {one.number: one for one in board(as_director, made.plan).columns}[5].misses_record


def test_closures_and_cancelled_lessons_are_gaps_and_bear_no_number(as_director):
    made = planned(lessons=8)
    LessonSession.objects.filter(pk=made.lessons[7].pk).update(
        cancelled_at=dt.datetime(2026, 2, 1, tzinfo=dt.UTC), cancelled_because="snow"
    )
    ClosureFactory(first_day=dt.date(2026, 3, 3), last_day=dt.date(2026, 3, 3), reason="hall hired out")
    gaps = [(str(one.day), one.reason) for one in board(as_director, made.plan).columns if one.reason]
    assert gaps == [("2026-02-24", "snow"), ("2026-03-03", "hall hired out")]


def test_a_closure_of_another_room_is_no_gap(as_director):
    made = planned(lessons=8)
    elsewhere = planned(figures={"fan": 0}).lessons[0].room
    ClosureFactory(first_day=dt.date(2026, 3, 3), room=elsewhere)
    assert not [one for one in board(as_director, made.plan).columns if one.reason]


def test_a_milestone_stands_on_the_ruler(as_director):
    made = planned()
    Milestone.objects.create(course=made.course, name="Showcase", day=dt.date(2026, 3, 14))
    weeks = board(as_director, made.plan).weeks
    assert [(week.number, week.milestones) for week in weeks if week.milestones] == [(10, ("Showcase",))]


def test_what_does_not_fit_is_said_under_the_figure_and_linked_to_it(as_director):
    made = planned(figures={"box": 0, "turn": 6, "whisk": 5})
    answer = show(as_director, made.plan)
    sentence = row(answer.context["board"], "whisk").findings[0].sentence
    assert "needs turn in an earlier lesson" in sentence
    assert answer.content.decode().count(sentence) == 2
    assert reverse("lessons:plan-figure", args=[made.plan.pk, made.row("whisk").figure_id]) in (
        answer.content.decode()
    )


class TestFaults:
    """Each thing that is wrong is said once, with what would mend it."""

    def faults(self, client, plan):
        return [finding["sentence"] for finding in show(client, plan).context["findings"]]

    def test_a_figure_that_was_not_reached_is_one_fault_with_all_that_waits_for_it(self, as_director):
        made = planned(figures={"box": 0, "turn": 4, "whisk": 6}, recorded=False, status=PlanStatus.PUBLISHED)
        PlanReview.objects.create(plan_figure=made.row("turn"), lesson=made.lessons[7], due=made.lessons[7])
        box = made.row("box").figure
        for lesson in made.lessons[:5]:
            RecordFactory(lesson=lesson, taught={box: "introduced"} if lesson == made.lessons[0] else {})
        assert self.faults(as_director, made.plan) == [
            "turn was planned for Tuesday 3 February and was not taught, and stands in no lesson now; "
            "whisk needs it first."
        ]
        assert show(as_director, made.plan).context["board"].notes == ()

    def test_many_figures_without_a_lesson_are_one_fault(self, as_director):
        made = planned(figures=dict.fromkeys(["box", "turn", "whisk", "sway"]))
        assert self.faults(as_director, made.plan) == [
            "4 figures stand in no lesson: box, turn, whisk and sway."
        ]

    def test_an_optional_figure_may_stay_out(self, as_director):
        made = planned(figures={"box": 0, "turn": None})
        made.plan.figures.filter(figure__name="turn").update(required=False)
        assert self.faults(as_director, made.plan) == []

    def test_an_again_that_is_not_due_is_one_fault_in_plain_words(self, as_director):
        made = planned(figures={"box": 0, "turn": 7})
        PlanReview.objects.create(plan_figure=made.row("turn"), lesson=made.lessons[6], due=made.lessons[6])
        (sentence,) = self.faults(as_director, made.plan)
        assert sentence == "turn comes again in lesson 7, but is new only in lesson 8."

    def test_the_figure_without_a_lesson_comes_before_a_full_evening(self, as_director):
        made = planned(figures={"box": 0, "turn": 5, "whisk": None})
        figure = FigureFactory(level=made.course.levels.get(), name="sway")
        PlanFigureFactory(plan=made.plan, figure=figure, new_in=made.lessons[5])
        first, second = self.faults(as_director, made.plan)
        assert first.startswith("whisk must be taught")
        assert second.startswith("Lesson 6 takes at most 1 new")

    def test_the_remedy_is_a_button_beside_them(self, as_director):
        made = planned(figures={"box": 0, "turn": None})
        page = show(as_director, made.plan).content.decode()
        assert '<button class="button">Plan the term</button>' in page
        assert f'<a class="button quiet" href="/plans/{made.plan.pk}/publish/">Publish</a>' in page

    def test_a_sound_draft_is_ready_to_publish(self, as_director):
        made = planned(figures={"box": 0, "turn": 5})
        page = show(as_director, made.plan).content.decode()
        assert f'<a class="button" href="/plans/{made.plan.pk}/publish/">Publish</a>' in page
        assert '<button class="button quiet">Plan the term</button>' in page
        assert '<label for="id_seconds">Search for at most</label>' in page


def test_a_lesson_with_too_many_new_figures_is_marked_as_too_much(as_director):
    made = planned(figures={"box": 0})
    for name in ("sway", "frame"):
        figure = FigureFactory(level=made.course.levels.get(), name=name)
        PlanFigureFactory(plan=made.plan, figure=figure, new_in=made.lessons[5])
    shown = board(as_director, made.plan)
    assert [one.number for one in shown.columns if one.trouble == "too much"] == [6]


def test_gauges_tell_minutes_in_words(as_director):
    made = planned()
    assert "12 minutes new, 0 again, 26 left of 38" in show(as_director, made.plan).content.decode()


def test_a_published_plan_is_read_and_a_draft_of_it_is_one_press_away(as_director):
    made = planned(status=PlanStatus.PUBLISHED)
    assert "Change it in a draft" in show(as_director, made.plan).content.decode()
    answer = as_director.post(reverse("lessons:plan-new", args=[made.course.pk]))
    draft = TermPlan.objects.get(status=PlanStatus.DRAFT)
    assert answer.url == reverse("lessons:plan", args=[draft.pk])
    assert draft.figures.count() == 3


def test_a_draft_without_figures_says_what_to_do_first(as_director):
    made = planned(figures={})
    assert "Choose what it teaches" in show(as_director, made.plan).content.decode()


def test_an_instructor_reads_the_plan_and_moves_nothing(client, school, instructor):
    made = planned()
    shown = show(as_person(client, instructor), made.plan).content.decode()
    assert "Plan the term" not in shown
    assert client.post(reverse("lessons:plan-new", args=[made.course.pk])).status_code == 403


def test_a_student_finds_no_such_page_and_a_plan_is_only_read(client, as_director, student):
    made = planned()
    url = reverse("lessons:plan", args=[made.plan.pk])
    assert as_director.post(url).status_code == 403
    assert as_person(client, student).get(url).status_code == 404


@pytest.mark.parametrize(("figures", "lessons"), [(2, 8), (12, 14)])
def test_the_register_costs_the_same_queries_at_any_size(
    as_director, figures, lessons, django_assert_num_queries
):
    names = {f"figure {number}": number % 2 * 5 for number in range(figures)}
    made = planned(figures=names, lessons=lessons)
    with django_assert_num_queries(31):
        show(as_director, made.plan)


@pytest.mark.django_db
def test_the_fullest_lesson_has_the_minutes_of_its_gauge_with_reviews_of_what_stands_in_no_lesson():
    made = planned(figures={"box": 0, "turn": 5, "whisk": None})
    PlanReview.objects.create(plan_figure=made.row("whisk"), lesson=made.lessons[5], due=made.lessons[5])
    problem = course_problem(made.plan)
    columns = board_from(problem, made.course).columns
    assert aims_of(problem)["peak"] == max(one.gauge.used for one in columns if one.gauge and not one.is_past)
