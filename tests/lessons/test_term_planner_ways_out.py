"""What would undo a conflict: every demand given up as little as will do, tried, and costed."""

from dataclasses import replace

import pytest

from lessons.planners.changes import Change, changed
from lessons.planners.term import FigureToTeach, LessonSlot, TermProblem, check_plan, plan_term
from lessons.planners.ways_out import ways_out


def evenings(count, minutes=60, **demands):
    return tuple(LessonSlot(index, minutes, **demands) for index in range(count))


def fan(**demands):
    return FigureToTeach("fan", 20, 5, **demands)


PAIR = (
    FigureToTeach("alemana", 20, pinned=5),
    FigureToTeach("hockey stick", 20, needs={"alemana"}, latest=3),
)
OVER = LessonSlot(0, 60, taught=())

CONFLICTS = {
    "dates": TermProblem((fan(earliest=5, latest=3),), evenings(8)),
    "a pin and a date": TermProblem((fan(pinned=4, latest=2),), evenings(8)),
    "a pin on a barred lesson": TermProblem((fan(pinned=4, barred={3, 4}),), evenings(8)),
    "a need and dates": TermProblem(PAIR, evenings(8)),
    "a need that may share the evening": TermProblem(
        (FigureToTeach("whisk", 9, pinned=4), FigureToTeach("chasse", 9, needs={"whisk"}, pinned=4)),
        evenings(8),
    ),
    "room": TermProblem((fan(), FigureToTeach("whisk", 35)), evenings(2, 25)),
    "number of new figures": TermProblem(
        tuple(FigureToTeach(f"figure {n}", 5, pinned=1) for n in range(2)), evenings(3, max_new=1)
    ),
    "asked for more new than there is": TermProblem((fan(),), evenings(2, min_new=1)),
    "asked for more minutes than there are": TermProblem(
        (fan(pinned=0),), (LessonSlot(0, 60, min_minutes=30), LessonSlot(1, 60))
    ),
    "reviews without room": TermProblem(
        (FigureToTeach("fan", 20, 12, pinned=0, least_reviews=1, required=False),),
        (LessonSlot(0, 60), *evenings(5, 9)[1:]),
    ),
    "together": TermProblem(
        (fan(pinned=1), FigureToTeach("whisk", 9, pinned=2)), evenings(4), together=({"fan", "whisk"},)
    ),
    "apart": TermProblem(
        (fan(pinned=1), FigureToTeach("whisk", 9, pinned=1)), evenings(4), apart=({"fan", "whisk"},)
    ),
    "a date that is over": TermProblem((fan(latest=0),), (OVER, *evenings(3)[1:])),
    "unfinished and too long": TermProblem((fan(),), (OVER, LessonSlot(1, 9)), unfinished={"fan": 15}),
}
STEP_BACK = {"latest": -1, "earliest": 1, "room": -1, "most": -1, "least": 1, "least_minutes": 1}


@pytest.mark.parametrize("name", CONFLICTS)
def test_every_way_is_tried_and_its_plan_is_sound(name):
    problem = CONFLICTS[name]
    conflict = plan_term(problem).conflict
    ways = ways_out(problem, conflict)
    assert {way.reason for way in ways} == set(conflict)
    for way in ways:
        assert way.plan is not None, way.sentence
        assert len(way.aims) == 5
        assert check_plan(changed(problem, way.change), way.plan.introductions, way.plan.reviews) == ()


@pytest.mark.parametrize("name", CONFLICTS)
def test_nothing_gives_way_further_than_it_must(name):
    problem = CONFLICTS[name]
    for way in ways_out(problem, plan_term(problem).conflict):
        if way.change.value is not None and way.change.kind in STEP_BACK:
            less = replace(way.change, value=way.change.value + STEP_BACK[way.change.kind])
            assert plan_term(changed(problem, less)).status == "impossible", way.sentence


def test_every_kind_of_demand_gives_way_in_one_of_them():
    kinds = {way.change.kind for p in CONFLICTS.values() for way in ways_out(p, plan_term(p).conflict)}
    assert kinds == {
        "required", "pinned", "earliest", "latest", "barred", "need", "together", "apart",
        "room", "most", "least", "least_minutes", "history",
    }  # fmt: skip


def sentences(name):
    problem = CONFLICTS[name]
    return [way.sentence for way in ways_out(problem, plan_term(problem).conflict)]


@pytest.mark.parametrize(
    ("name", "sentence"),
    [
        ("dates", "Let fan begin as late as lesson 6. Then it is new in lesson 6."),
        ("dates", "Let fan begin as early as lesson 4. Then it is new in lesson 4."),
        ("a pin and a date", "Let fan begin as late as lesson 5. Then it is new in lesson 5."),
        ("a pin on a barred lesson", "Let fan begin in lesson 5. Then it is new in lesson 5."),
        ("a need and dates", "Let hockey stick begin as late as lesson 7. Then it is new in lesson 7."),
        ("a need that may share the evening", "Let chasse and whisk share a lesson."),
        ("room", "Give lessons 1 and 2 10 minutes more each."),
        ("number of new figures", "Let lesson 2 take 2 new figures."),
        ("asked for more new than there is", "Ask for no new figures in lesson 1."),
        ("asked for more minutes than there are", "Ask for 20 minutes at least in lesson 1."),
        ("reviews without room", "Ask for no reviews of fan."),
        ("together", "Let fan and whisk stand in different lessons."),
        ("apart", "Let fan and whisk share a lesson."),
        ("a date that is over", "If fan has been taught, record it."),
        ("unfinished and too long", "Give lesson 2 6 minutes more."),
    ],
)
def test_the_way_is_said_in_a_sentence(name, sentence):
    assert sentence in sentences(name)


def test_the_cheapest_way_comes_first():
    problem = TermProblem((fan(latest=2, earliest=4, importance=9), FigureToTeach("whisk", 9)), evenings(6))
    ways = ways_out(problem, plan_term(problem).conflict)
    costs = [tuple(aim.value for aim in way.aims) for way in ways]
    assert costs == sorted(costs)
    # Leaving the figure out is dearest: it costs its importance.
    assert (ways[-1].change.kind, costs[-1][0]) == ("required", 9)


def test_a_way_under_which_another_conflict_lies_says_so():
    problem = TermProblem((fan(pinned=2, latest=1), FigureToTeach("whisk", 90)), evenings(4))
    conflict = plan_term(problem).conflict
    ways = ways_out(problem, conflict)
    assert [way.plan for way in ways] == [None] * len(conflict)
    assert all(way.sentence.endswith("That alone is not enough.") for way in ways)


def test_more_room_alone_may_not_be_enough():
    late = FigureToTeach("hockey stick", 9, pinned=0, earliest=1)
    problem = TermProblem((FigureToTeach("alemana", 70, pinned=1), late), evenings(3))
    conflict = plan_term(replace(problem, figures=problem.figures[:1])).conflict
    sentences = [way.sentence for way in ways_out(problem, conflict)]
    assert "Give lesson 2 more room. That alone is not enough." in sentences


def test_where_no_single_demand_undoes_it_the_figures_best_left_out_together_are_told():
    light = [FigureToTeach(f"light {n}", 30, importance=2) for n in range(3)]
    heavy = [FigureToTeach(f"heavy {n}", 30, importance=9) for n in range(2)]
    problem = TermProblem((*light, *heavy), evenings(2, max_new=1))
    ways = ways_out(problem, plan_term(problem).conflict)
    (way,) = [way for way in ways if way.plan]
    assert ways[0] is way
    assert way.sentence == "Leave out light 0, light 1 and light 2."
    assert way.aims[0].value == 6
    assert check_plan(changed(problem, way.change), way.plan.introductions, way.plan.reviews) == ()


def test_an_overfull_term_tries_ways_of_every_kind_and_not_hundreds():
    figures = tuple(FigureToTeach(f"figure {n}", 20) for n in range(30))
    problem = TermProblem(figures, evenings(9, max_new=9))
    ways = ways_out(problem, plan_term(problem).conflict, seconds=4)
    assert len(ways) <= 16
    assert {way.change.kind for way in ways} == {"required", "room"}
    assert "Give lessons 1 to 9 20 minutes more each." in [way.sentence for way in ways]


def test_a_stop_ends_the_trying():
    problem = CONFLICTS["room"]
    assert ways_out(problem, plan_term(problem).conflict, should_stop=lambda: True) == ()


def test_a_change_changes_one_demand_and_nothing_else():
    problem = TermProblem((fan(earliest=1, latest=3), FigureToTeach("whisk", 9)), evenings(4))
    later = changed(problem, Change("latest", ("fan",), (3,), 2))
    assert later == replace(problem, figures=(fan(earliest=1, latest=2), problem.figures[1]))
    roomier = changed(problem, Change("room", (), (1,), 5))
    assert [lesson.minutes for lesson in roomier.lessons] == [60, 65, 60, 60]
