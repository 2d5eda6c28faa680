"""A question that cannot be read is refused in a sentence that names the figure or the lesson."""

import pytest

from lessons.planners.term import FigureToTeach, LessonSlot, ProblemError, TermProblem, plan_term

BASIC = FigureToTeach("basic", 10)
EVENING = LessonSlot(0, 60)


def refuse(figures, lessons=(EVENING,), **more):
    with pytest.raises(ProblemError) as error:
        plan_term(TermProblem(tuple(figures), tuple(lessons), **more))
    return str(error.value)


@pytest.mark.parametrize(
    ("figures", "more", "sentence"),
    [
        ([FigureToTeach("alemana", 9, needs={"fan"})], {}, "alemana needs fan, which is no figure"),
        ([FigureToTeach("alemana", 9, after={"fan"})], {}, "alemana needs fan, which is no figure"),
        ([BASIC], {"together": ({"basic", "fan"},)}, "together names fan"),
        ([BASIC], {"apart": ({"basic", "fan"},)}, "apart names fan"),
        ([BASIC], {"previous": {"fan": 0}}, "previous plan names fan"),
        ([BASIC], {"unfinished": {"fan": 5}}, "finished names fan"),
        ([BASIC, BASIC], {}, "basic stands twice"),
        ([BASIC], {"known": {"basic"}}, "basic is both known and to be taught"),
        ([FigureToTeach("basic", -1)], {}, "basic has negative minutes"),
        ([FigureToTeach("basic", 5, -1)], {}, "basic has negative minutes"),
        ([BASIC], {"unfinished": {"basic": -1}}, "basic has negative minutes left"),
        ([FigureToTeach("basic", 5, parts=0)], {}, "basic has 0 parts"),
        ([FigureToTeach("basic", 5, parts=6)], {}, "basic has 6 parts but only 5 minutes"),
        ([FigureToTeach("basic", 5, pinned=1)], {}, "basic is kept in lesson 2, which is outside the term"),
        ([FigureToTeach("basic", 5, pinned=-1)], {}, "outside the term"),
        ([FigureToTeach("basic", 5, review_after=(0, 1))], {}, "basic must lie after a positive, rising"),
        ([FigureToTeach("basic", 5, review_after=(2, 2))], {}, "positive, rising"),
        ([BASIC], {"review_after": (3, 1)}, "the term must lie after a positive, rising"),
        ([BASIC], {"review_slack": -1}, "slack"),
        ([BASIC], {"ranks": ("peak", "beauty")}, "beauty is not an aim"),
        ([BASIC], {"ranks": ("peak", "peak")}, "peak is ranked twice"),
        ([FigureToTeach("basic", 5, importance=-1)], {}, "basic has an importance"),
        ([FigureToTeach("basic", 5, least_reviews=-1)], {}, "basic asks for fewer than 0 reviews"),
    ],
)
def test_a_wrong_figure_is_named(figures, more, sentence):
    assert sentence in refuse(figures, **more)


@pytest.mark.parametrize(
    ("lessons", "sentence"),
    [
        ([LessonSlot(0, -5)], "Lesson 1 has negative minutes"),
        ([LessonSlot(0, 5, min_minutes=-1)], "Lesson 1 has negative minutes"),
        ([LessonSlot(0, 5, max_new=-1)], "Lesson 1 asks for a negative number"),
        ([LessonSlot(1, 5)], "Lesson 1 has index 1"),
        ([LessonSlot(0, 5), LessonSlot(1, 5, taught={"basic"})], "Lesson 2 has been taught but lesson 1"),
        ([LessonSlot(0, 5, taught={"fan"})], "Lesson 1 names fan"),
        ([LessonSlot(0, 5, taught=(), reviewed={"fan"})], "Lesson 1 names fan"),
    ],
)
def test_a_wrong_lesson_is_named(lessons, sentence):
    assert sentence in refuse([BASIC], lessons)


def test_a_circle_of_prerequisites_is_spelled_out():
    circle = [
        FigureToTeach("fan", 9, needs={"alemana"}),
        FigureToTeach("alemana", 9, after={"hockey stick"}),
        FigureToTeach("hockey stick", 9, needs={"fan"}),
        FigureToTeach("New York", 9, needs={"fan"}),
    ]
    sentence = refuse(circle)
    assert sentence == (
        "A circle of prerequisites: fan needs alemana, which needs hockey stick, which needs fan."
    )


def test_a_figure_that_needs_itself_is_a_circle():
    assert "fan needs fan" in refuse([FigureToTeach("fan", 9, needs={"fan"})])


def test_a_long_chain_of_prerequisites_is_no_circle():
    chain = [FigureToTeach("0", 1)]
    chain += [FigureToTeach(str(i), 1, needs={str(i - 1)}, required=False) for i in range(1, 3000)]
    answer = plan_term(TermProblem(tuple(chain), (EVENING,)), seconds=5)
    assert answer.introductions == {"0": 0}
