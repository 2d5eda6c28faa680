"""Steps of a draft: every change is told in words and can be taken back, several deep."""

import pytest
from django.core.exceptions import ValidationError

from lessons.actions.cards import set_figures
from lessons.actions.errors import Overtaken
from lessons.actions.plans import choose_figures, move_introduction, publish_plan, set_demands
from lessons.actions.sets import set_company
from lessons.actions.steps import KEPT, one_step, read_draft, said_since
from lessons.actions.undo import take_back
from lessons.models import PlanReview
from tests.lessons.planned import planned

pytestmark = pytest.mark.usefixtures("story_day")


@pytest.fixture
def made(db):
    return planned()


def move(made, director, name, index):
    lesson = None if index is None else made.lessons[index]
    move_introduction(
        plan=made.plan, version=made.plan.version, plan_figure=made.row(name), lesson=lesson, by=director
    )


def ask(made, director, name, **demands):
    row = made.row(name)
    set_demands(plan=made.plan, version=made.plan.version, plan_figure=row, by=director, **demands)


def said(made):
    return [sentence for step in made.plan.steps.all() for sentence in step.said]


def undo(made, director, step=None):
    step = step or made.plan.steps.filter(taken_back__isnull=True).first()
    take_back(plan=made.plan, version=made.plan.version, step=step, by=director)


def test_a_move_is_one_step_in_words(made, director):
    move(made, director, "whisk", 8)
    assert said(made) == ["whisk went from lesson 7 to lesson 9."]


def test_what_is_asked_of_a_figure_is_told_too(made, director):
    ask(made, director, "whisk", pinned=made.lessons[6], latest=made.lessons[8], required=False, parts=2)
    assert said(made) == [
        "whisk comes again in lessons 9 and 10.",
        "whisk is kept in lesson 7.",
        "whisk is begun by lesson 9.",
        "whisk may be left out.",
        "whisk is taught in 2 parts.",
    ]


def test_a_move_is_taken_back_with_its_reviews(made, director):
    PlanReview.objects.create(plan_figure=made.row("turn"), lesson=made.lessons[6], due=made.lessons[6])
    before = read_draft(made.plan)
    move(made, director, "turn", 8)
    assert read_draft(made.plan) != before
    undo(made, director)
    assert read_draft(made.plan) == before


def test_several_steps_are_taken_back_one_after_the_other(made, director):
    states = [read_draft(made.plan)]
    for index in (7, 8, 9):
        move(made, director, "whisk", index)
        states.append(read_draft(made.plan))
    for state in reversed(states[:-1]):
        undo(made, director)
        assert read_draft(made.plan) == state
    with pytest.raises(ValidationError):
        undo(made, director, made.plan.steps.first())


def test_an_earlier_step_takes_those_after_it_along(made, director):
    before = read_draft(made.plan)
    for index in (7, 8, 9):
        move(made, director, "whisk", index)
    undo(made, director, made.plan.steps.last())
    assert read_draft(made.plan) == before
    assert not made.plan.steps.filter(taken_back__isnull=True).exists()


def test_a_figure_taken_out_comes_back_with_its_place_and_its_sets(made, director):
    made.put_set("together", "turn", "whisk")
    before = read_draft(made.plan)
    figures = [made.row("box").figure, made.row("turn").figure]
    choose_figures(plan=made.plan, version=made.plan.version, figures=figures, by=director)
    assert "whisk was taken out of what the draft teaches." in said(made)
    undo(made, director)
    assert read_draft(made.plan) == before


def test_sets_are_told(made, director):
    turn, whisk = made.row("turn"), made.row("whisk")
    set_company(plan=made.plan, version=1, plan_figure=turn, together=[whisk], by=director)
    assert said(made) == ["turn and whisk belong on one evening."]


def test_many_moves_at_once_are_told_together(director):
    made = planned(figures={f"figure {number}": 5 for number in range(8)})
    with one_step(plan=made.plan, by=director):
        for number in range(8):
            move(made, director, f"figure {number}", 7)
    assert said(made) == [
        "8 figures went to other lessons: figure 0, figure 1 and figure 2 and 5 more.",
    ]


def test_one_page_saved_is_one_step(made, director):
    figures = [row.figure for row in made.plan.figures.all()]
    wishes = {figure.pk: (False, 3) for figure in figures}
    with one_step(plan=made.plan, by=director):
        set_figures(
            plan=made.plan, version=made.plan.version, figures=figures[:2], wishes=wishes, by=director
        )
    assert made.plan.steps.count() == 1
    undo(made, director)
    assert [row.required for row in made.plan.figures.all()] == [True, True, True]


def test_nothing_changed_is_no_step(made, director):
    ask(made, director, "whisk", required=True)
    publish_plan(plan=made.plan, version=made.plan.version, by=director, even_so=True)
    assert not made.plan.steps.exists()


def test_somebody_elses_turn_is_not_undone_unseen(made, director, instructor):
    move(made, director, "whisk", 8)
    version = made.plan.version
    move(made, instructor, "turn", 7)
    with pytest.raises(Overtaken):
        take_back(plan=made.plan, version=version, step=made.plan.steps.last(), by=director)
    assert made.place_of("whisk") == 8


def test_what_others_did_since_is_told_with_their_name(made, director, instructor):
    version = made.plan.version
    move(made, instructor, "turn", 7)
    assert said_since(made.plan, version) == [(instructor.name, ["turn went from lesson 6 to lesson 8."])]
    version = made.plan.version
    undo(made, director)
    assert said_since(made.plan, version) == [
        (director.name, ["Taken back: turn went from lesson 6 to lesson 8."])
    ]
    assert said_since(made.plan, made.plan.version) == []


def test_only_the_newest_steps_are_kept(made, director):
    for turn in range(KEPT + 5):
        move(made, director, "whisk", 7 + turn % 2)
    assert made.plan.steps.count() == KEPT
