"""Why a term cannot be: every kind of demand in a conflict, and none of them one too many."""

from dataclasses import replace

import pytest

from lessons.planners.term import FigureToTeach, LessonSlot, TermProblem, plan_term, without


def evenings(count, minutes=60, **demands):
    return tuple(LessonSlot(index, minutes, **demands) for index in range(count))


def figures(*minutes, **more):
    return tuple(FigureToTeach(f"figure {place}", length, **more) for place, length in enumerate(minutes))


OVER = LessonSlot(0, 60, taught=())

CONFLICTS = {
    "a figure longer than any lesson": (
        TermProblem(figures(40), evenings(2, minutes=30)),
        ["required", "room", "room"],
    ),
    "a figure with more parts than lessons": (TermProblem(figures(40, parts=3), evenings(2)), ["required"]),
    "a term without lessons": (TermProblem(figures(10), ()), ["required"]),
    "kept in a lesson after its last date": (
        TermProblem((FigureToTeach("fan", 10, pinned=2, latest=1),), evenings(4)),
        ["latest", "pinned"],
    ),
    "kept in a lesson before its first date": (
        TermProblem((FigureToTeach("fan", 10, pinned=0, earliest=1),), evenings(4)),
        ["earliest", "pinned"],
    ),
    "kept where it may not be": (
        TermProblem((FigureToTeach("fan", 10, pinned=2, barred={1, 2}),), evenings(4)),
        ["barred", "pinned"],
    ),
    "barred everywhere": (
        TermProblem((FigureToTeach("fan", 10, barred={0, 1}),), evenings(2)),
        ["barred", "barred", "required"],
    ),
    "needed too late": (
        TermProblem(
            (
                FigureToTeach("alemana", 9, pinned=5),
                FigureToTeach("hockey stick", 9, needs={"alemana"}, pinned=4),
            ),
            evenings(8),
        ),
        ["need", "pinned", "pinned"],
    ),
    "come after too late": (
        TermProblem(
            (FigureToTeach("whisk", 9, pinned=5), FigureToTeach("chasse", 9, after={"whisk"}, pinned=4)),
            evenings(8),
        ),
        ["need", "pinned", "pinned"],
    ),
    "together on different evenings": (
        TermProblem(
            (FigureToTeach("left", 9, pinned=0), FigureToTeach("right", 9, pinned=1)),
            evenings(2),
            together=({"left", "right"},),
        ),
        ["pinned", "pinned", "together"],
    ),
    "apart on one evening": (
        TermProblem(
            (FigureToTeach("left", 9, pinned=0), FigureToTeach("right", 9, pinned=0)),
            evenings(2),
            apart=({"left", "right"},),
        ),
        ["apart", "pinned", "pinned"],
    ),
    "more new figures than the lesson takes": (
        TermProblem(figures(5, 5, pinned=1), evenings(3, max_new=1)),
        ["most", "pinned", "pinned"],
    ),
    "more minutes than the lesson has": (
        TermProblem(figures(40, 30, pinned=1), evenings(3)),
        ["pinned", "pinned", "room"],
    ),
    "fewer new figures than the lessons ask for": (
        TermProblem(figures(5), evenings(2, min_new=1)),
        ["least", "least"],
    ),
    "fewer minutes than the lesson asks for": (
        TermProblem(figures(5), (LessonSlot(0, 60), LessonSlot(1, 60, min_minutes=10))),
        ["least_minutes"],
    ),
    "more minutes asked for than there is room": (
        TermProblem(figures(10, 15, required=False), (LessonSlot(0, 20, min_minutes=25),)),
        ["least_minutes", "room"],
    ),
    "no room for the reviews asked for": (
        TermProblem(
            (FigureToTeach("fan", 20, 30, pinned=0, least_reviews=1, required=False),),
            (LessonSlot(0, 60), LessonSlot(1, 10)),
        ),
        ["least", "pinned", "room"],
    ),
    "kept in a lesson that is over": (
        TermProblem((FigureToTeach("fan", 9, pinned=0),), (OVER, LessonSlot(1, 60))),
        ["history", "pinned"],
    ),
    "to be taught by a lesson that is over": (
        TermProblem((FigureToTeach("fan", 9, latest=0),), (OVER, LessonSlot(1, 60))),
        ["history", "latest", "required"],
    ),
    "unfinished and longer than the next lesson": (
        TermProblem(figures(50), (OVER, LessonSlot(1, 20)), unfinished={"figure 0": 30}),
        ["history", "room"],
    ),
    "unfinished where it is needed earlier": (
        TermProblem(
            (FigureToTeach("spin", 30), FigureToTeach("wing", 9, needs={"spin"}, pinned=1)),
            (OVER, LessonSlot(1, 60), LessonSlot(2, 60)),
            unfinished={"spin": 9},
        ),
        ["history", "need", "pinned"],
    ),
}


@pytest.mark.parametrize("name", CONFLICTS)
def test_each_conflict_names_what_clashes_and_nothing_more(name):
    problem, kinds = CONFLICTS[name]
    answer = plan_term(problem)
    assert answer.status == "impossible"
    assert sorted(reason.kind for reason in answer.conflict) == kinds
    for reason in answer.conflict:
        relieved = plan_term(without(problem, reason))
        assert relieved.status == "optimal", f"still impossible without: {reason.sentence}"


def test_every_kind_of_demand_is_among_them():
    kinds = {kind for _, kinds in CONFLICTS.values() for kind in kinds}
    assert kinds == {
        "required", "pinned", "earliest", "latest", "barred", "need", "together", "apart",
        "room", "most", "least", "least_minutes", "history",
    }  # fmt: skip


def test_an_overfull_term_names_the_figures_and_the_rooms():
    problem = TermProblem(figures(30, 30, 30, 30, 30), evenings(2))
    conflict = plan_term(problem).conflict
    assert [reason.kind for reason in conflict] == ["required"] * 5 + ["room"] * 2
    for reason in conflict:
        assert plan_term(without(problem, reason)).status == "optimal"


def test_of_two_conflicts_one_is_told_and_it_is_minimal_by_itself():
    pinned = FigureToTeach("fan", 10, pinned=2, latest=1)
    barred = FigureToTeach("whisk", 10, pinned=3, barred={3})
    problem = TermProblem((pinned, barred, *figures(10, 10)), evenings(5))
    conflict = plan_term(problem).conflict
    assert {key for reason in conflict for key in reason.keys} in ({"fan"}, {"whisk"})
    calm = TermProblem((replace(pinned, latest=None), barred), evenings(5))
    assert {key for reason in plan_term(calm).conflict for key in reason.keys} == {"whisk"}


def test_bystanders_stay_out_of_a_conflict():
    crowd = tuple(
        FigureToTeach(f"figure {n}", 15, 4, needs={f"figure {n - 1}"} if n % 3 else ()) for n in range(30)
    )
    lessons = evenings(16, minutes=90)
    problem = TermProblem((*crowd, FigureToTeach("fan", 10, pinned=3, barred={3})), lessons)
    conflict = plan_term(problem).conflict
    assert [(reason.kind, reason.keys) for reason in conflict] == [("pinned", ("fan",)), ("barred", ("fan",))]


def test_sentences_speak_as_a_teacher_does():
    problem, _ = CONFLICTS["needed too late"]
    assert {reason.sentence for reason in plan_term(problem).conflict} == {
        "alemana is kept in lesson 6.",
        "hockey stick is kept in lesson 5.",
        "hockey stick needs alemana in an earlier lesson.",
    }


def test_an_impossible_term_introduces_nothing_and_tells_no_aims():
    answer = plan_term(CONFLICTS["barred everywhere"][0])
    assert (answer.introductions, answer.reviews, answer.aims) == ({}, (), ())


def test_taking_one_demand_away_leaves_every_other_in_place():
    figure = FigureToTeach("fan", 10, needs={"basic"}, pinned=1, earliest=1, latest=0, barred={1, 2})
    problem = TermProblem((FigureToTeach("basic", 5), figure), evenings(3))
    reason = next(reason for reason in plan_term(problem).conflict if reason.kind == "pinned")
    assert without(problem, reason) == replace(
        problem, figures=(problem.figures[0], replace(figure, pinned=None))
    )
