"""What has been taught stays as it was, and the rest of the term is planned around it."""

from lessons.planners.term import FigureToTeach, LessonSlot, Review, TermProblem, check_plan, plan_term


def past(index, taught=(), reviewed=(), minutes=60):
    return LessonSlot(index, minutes, taught=frozenset(taught), reviewed=frozenset(reviewed))


def to_come(index, minutes=60, **demands):
    return LessonSlot(index, minutes, **demands)


def plan(figures, lessons, **more):
    problem = TermProblem(tuple(figures), tuple(lessons), **more)
    answer = plan_term(problem)
    assert answer.status == "optimal"
    assert check_plan(problem, answer.introductions, answer.reviews) == ()
    return answer


def value(answer, name):
    return next(aim.value for aim in answer.aims if aim.name == name)


def test_history_is_part_of_the_plan_and_weighs_nothing():
    answer = plan([FigureToTeach("basic", 90), FigureToTeach("whisk", 10)], [past(0, ["basic"]), to_come(1)])
    assert answer.introductions == {"basic": 0, "whisk": 1}
    assert answer.minutes == (0, 10)


def test_nothing_limits_history():
    figures = [
        FigureToTeach("alemana", 40, needs={"fan"}, latest=0, barred={1}),
        FigureToTeach("fan", 40, pinned=0),
        FigureToTeach("basic", 40, earliest=5),
    ]
    lessons = [past(0), past(1, ["alemana", "fan", "basic"]), to_come(2)]
    answer = plan(
        figures, lessons, apart=({"fan", "basic"},), together=({"alemana", "whisk"},), known={"whisk"}
    )
    assert answer.introductions == {"alemana": 1, "fan": 1, "basic": 1}
    assert all(aim.value == 0 for aim in answer.aims)


def test_the_first_lesson_in_which_a_key_stands_counts():
    lessons = [past(0, ["basic"]), past(1, ["basic"]), to_come(2), to_come(3)]
    answer = plan([FigureToTeach("basic", 10, 3, review_after=(3,))], lessons)
    assert answer.introductions == {"basic": 0}
    assert answer.reviews == (Review("basic", 3, 3),)


def test_what_was_taught_satisfies_what_needs_it_in_the_first_lesson_to_come():
    figures = [FigureToTeach("fan", 10), FigureToTeach("alemana", 10, needs={"fan"})]
    assert plan(figures, [past(0, ["fan"]), to_come(1)]).introductions["alemana"] == 1


def test_nothing_is_introduced_or_reviewed_in_the_past():
    figures = [FigureToTeach("basic", 10, 3, review_after=(1,)), FigureToTeach("whisk", 10)]
    lessons = [past(0, ["basic"]), past(1), to_come(2)]
    answer = plan(figures, lessons)
    assert answer.introductions["whisk"] == 2
    assert answer.reviews == (Review("basic", 2, 1),)


def test_a_review_that_took_place_settles_the_earliest_due():
    figures = [FigureToTeach("basic", 10, 3, review_after=(1, 2, 4))]
    lessons = [past(0, ["basic"]), past(1, reviewed=["basic"]), to_come(2), to_come(3), to_come(4)]
    answer = plan(figures, lessons)
    assert answer.reviews == (Review("basic", 2, 2), Review("basic", 4, 4))
    assert value(answer, "late_reviews") == 0


def test_one_review_settles_one_due_only_even_in_the_window_of_two():
    figures = [FigureToTeach("basic", 10, 3, review_after=(1, 2))]
    lessons = [past(0, ["basic"]), past(1), past(2, reviewed=["basic"]), to_come(3)]
    answer = plan(figures, lessons)
    assert answer.reviews == (Review("basic", 3, 2),)


def test_a_review_whose_window_has_passed_is_no_longer_owed():
    figures = [FigureToTeach("basic", 10, 3, review_after=(1,))]
    answer = plan(figures, [past(0, ["basic"]), past(1), past(2), to_come(3)])
    assert answer.reviews == ()
    assert value(answer, "late_reviews") == 0


def test_a_review_on_the_evening_of_the_introduction_settles_nothing():
    figures = [FigureToTeach("basic", 10, 3, review_after=(1,))]
    answer = plan(figures, [past(0, ["basic"], reviewed=["basic"]), to_come(1)])
    assert answer.reviews == (Review("basic", 1, 1),)


def test_what_is_unfinished_is_finished_first_and_is_not_new():
    figures = [
        FigureToTeach("spin", 30, 4, review_after=(1,), needs={"turn"}, pinned=0),
        FigureToTeach("turn", 10),
        FigureToTeach("impetus", 10, needs={"spin"}),
    ]
    lessons = [past(0), to_come(1, max_new=1), to_come(2, max_new=1)]
    answer = plan(figures, lessons, unfinished={"spin": 12})
    assert answer.introductions == {"spin": 1, "turn": 1, "impetus": 2}
    assert answer.reviews == (Review("spin", 2, 2),)
    assert answer.minutes == (0, 22, 14)


def test_a_set_with_an_unfinished_figure_meets_where_it_is_finished():
    figures = [FigureToTeach("spin", 30), FigureToTeach("wing", 10)]
    answer = plan(
        figures, [past(0), to_come(1), to_come(2)], unfinished={"spin": 5}, together=({"spin", "wing"},)
    )
    assert answer.introductions == {"spin": 1, "wing": 1}


def test_an_unfinished_figure_keeps_its_distance_from_others():
    figures = [FigureToTeach("spin", 30), FigureToTeach("wing", 10)]
    answer = plan(
        figures, [past(0), to_come(1), to_come(2)], unfinished={"spin": 5}, apart=({"spin", "wing"},)
    )
    assert answer.introductions == {"spin": 1, "wing": 2}


def test_a_term_that_is_over_has_nothing_left_to_plan():
    answer = plan(
        [FigureToTeach("basic", 10, 3), FigureToTeach("spin", 9, required=False)], [past(0, ["basic"])]
    )
    assert answer.introductions == {"basic": 0}
    assert (answer.left_out, answer.minutes) == (("spin",), (0,))
    assert value(answer, "peak") == 0
