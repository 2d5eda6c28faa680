"""What is wrong with a plan that somebody made by hand."""

from dataclasses import replace

import pytest

from lessons.planners.term import FigureToTeach, LessonSlot, Review, TermProblem, check_plan

TERM = TermProblem(
    figures=(
        FigureToTeach("basic", 10, 3, required=True),
        FigureToTeach("fan", 10, needs={"basic"}, required=False),
        FigureToTeach("alemana", 20, parts=2, needs={"fan"}, required=False),
        FigureToTeach("whisk", 10, required=False),
        FigureToTeach("chasse", 10, after={"whisk"}, required=False),
    ),
    lessons=tuple(LessonSlot(index, 40) for index in range(6)),
)


def figure_is(key, **demands):
    figures = tuple(replace(f, **demands) if f.key == key else f for f in TERM.figures)
    return replace(TERM, figures=figures)


def lesson_is(index, **demands):
    return replace(
        TERM, lessons=tuple(replace(x, **demands) if x.index == index else x for x in TERM.lessons)
    )


def kinds(problem, introductions, reviews=()):
    return [finding.kind for finding in check_plan(problem, introductions, reviews)]


def test_a_sound_plan_has_no_findings():
    introductions = {"basic": 0, "fan": 1, "alemana": 2, "whisk": 4, "chasse": 4}
    reviews = [Review("basic", 1, 1), Review("basic", 3, 2), Review("basic", 4, 4)]
    assert check_plan(TERM, introductions, reviews) == ()


@pytest.mark.parametrize(
    ("problem", "introductions", "kind"),
    [
        (TERM, {}, "required"),
        (TERM, {"basic": 0, "lambada": 1}, "unknown"),
        (TERM, {"basic": 6}, "term"),
        (TERM, {"basic": -1}, "term"),
        (TERM, {"basic": 0, "fan": 1, "alemana": 5}, "term"),
        (TERM, {"basic": 0, "fan": 0}, "need"),
        (TERM, {"basic": 0, "alemana": 2}, "need"),
        (TERM, {"basic": 0, "chasse": 1, "whisk": 2}, "need"),
        (TERM, {"basic": 0, "chasse": 1}, "need"),
        (figure_is("basic", pinned=2), {"basic": 1}, "pinned"),
        (figure_is("basic", earliest=2), {"basic": 1}, "earliest"),
        (figure_is("basic", latest=2), {"basic": 3}, "latest"),
        (figure_is("basic", barred={3}), {"basic": 3}, "barred"),
        (lesson_is(0, minutes=9), {"basic": 0}, "room"),
        (lesson_is(0, max_new=0), {"basic": 0}, "most"),
        (lesson_is(4, min_new=1), {"basic": 0}, "least"),
        (lesson_is(0, min_minutes=11), {"basic": 0}, "least_minutes"),
        (replace(TERM, together=({"basic", "whisk"},)), {"basic": 0}, "together"),
        (replace(TERM, together=({"basic", "whisk"},)), {"basic": 0, "whisk": 1}, "together"),
        (replace(TERM, apart=({"basic", "whisk"},)), {"basic": 0, "whisk": 0}, "apart"),
        (replace(TERM, known={"frame"}), {"basic": 0, "frame": 0}, "known"),
        (figure_is("basic", least_reviews=1), {"basic": 0}, "least"),
    ],
)
def test_each_breach_is_found_alone(problem, introductions, kind):
    if kind == "required":
        assert kinds(problem, introductions) == ["required"]
    else:
        assert set(kinds(problem, introductions)) - {"required"} == {kind}


@pytest.mark.parametrize(
    ("reviews", "kind"),
    [
        ([Review("lambada", 1, 1)], "unknown"),
        ([Review("whisk", 1, 1)], "review"),
        ([Review("fan", 2, 2)], "review"),
        ([Review("basic", 1, 5)], "review"),
        ([Review("basic", 3, 1)], "review"),
        ([Review("basic", 0, 1)], "review"),
        ([Review("basic", 1, 1), Review("basic", 2, 1)], "review"),
        ([Review("basic", 2, 1), Review("basic", 2, 2)], "review"),
        ([Review("basic", 2, 1), Review("basic", 1, 2)], "review"),
        ([Review("basic", 6, 5)], "term"),
    ],
)
def test_each_wrong_review_is_found(reviews, kind):
    term = replace(TERM, review_after=(1, 2, 5)) if kind == "term" else TERM
    assert set(kinds(term, {"basic": 0, "fan": 1}, reviews)) == {kind}


def test_known_figures_need_no_review():
    term = replace(TERM, known={"frame"})
    assert kinds(term, {"basic": 0}, [Review("frame", 1, 1)]) == ["review"]


def test_reviews_fill_a_lesson_too():
    reviews = [Review("basic", 1, 1)]
    findings = check_plan(lesson_is(1, minutes=12), {"basic": 0, "fan": 1}, reviews)
    assert [finding.sentence for finding in findings] == [
        "Lesson 2 has room for 12 minutes, but 13 are planned."
    ]


@pytest.mark.parametrize(
    ("most", "sentence"),
    [
        (0, "Lesson 1 takes nothing new, but 1 is planned."),
        (1, "Lesson 1 takes at most 1 new, but 2 are planned."),
    ],
)
def test_how_many_are_new_is_said_as_people_count(most, sentence):
    placed = {"basic": 0} if most == 0 else {"basic": 0, "fan": 0}
    assert sentence in [one.sentence for one in check_plan(lesson_is(0, max_new=most), placed)]


HISTORY = replace(
    TERM,
    lessons=(
        LessonSlot(0, 5, taught={"basic", "fan"}),
        LessonSlot(1, 5, taught=(), reviewed={"basic"}),
        *TERM.lessons[2:],
    ),
    unfinished={"alemana": 7},
)


def test_a_plan_that_keeps_to_history_is_sound():
    reviews = [Review("basic", 2, 2), Review("basic", 4, 4)]
    assert check_plan(HISTORY, {"basic": 0, "fan": 0, "alemana": 2}, reviews) == ()


@pytest.mark.parametrize(
    "introductions",
    [
        {"basic": 1, "fan": 0, "alemana": 2},
        {"fan": 0, "alemana": 2},
        {"basic": 0, "fan": 0, "alemana": 3},
        {"basic": 0, "fan": 0},
        {"basic": 0, "fan": 0, "alemana": 2, "whisk": 1},
    ],
)
def test_history_cannot_be_planned_away(introductions):
    assert kinds(HISTORY, introductions) == ["history"]


@pytest.mark.parametrize(
    ("review", "kind"), [(Review("basic", 1, 2), "history"), (Review("basic", 2, 1), "review")]
)
def test_reviews_of_the_past_are_settled(review, kind):
    assert kinds(HISTORY, {"basic": 0, "fan": 0, "alemana": 2}, [review]) == [kind]


def test_what_is_left_of_an_unfinished_figure_takes_room():
    short = replace(HISTORY, lessons=(*HISTORY.lessons[:2], LessonSlot(2, 6), *HISTORY.lessons[3:]))
    assert kinds(short, {"basic": 0, "fan": 0, "alemana": 2}) == ["room"]


def test_a_prerequisite_that_nobody_teaches_is_a_finding_not_an_error():
    assert kinds(figure_is("basic", needs={"walking"}), {"basic": 0}) == ["unknown"]


def test_a_finding_says_who_where_and_why():
    (finding,) = check_plan(TERM, {"basic": 3, "fan": 2})
    assert finding.keys == ("fan", "basic")
    assert finding.lessons == (2, 3)
    assert finding.sentence == (
        "fan begins in lesson 3 and needs basic in an earlier lesson, but basic is introduced in lesson 4."
    )
