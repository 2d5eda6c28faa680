"""Where new figures stand: prerequisites, room, dates, parts, sets."""

from lessons.planners.term import FigureToTeach, LessonSlot, TermProblem, check_plan, plan_term


def evenings(count, minutes=60, **demands):
    return tuple(LessonSlot(index, minutes, **demands) for index in range(count))


def plan(figures, lessons, **more):
    problem = TermProblem(tuple(figures), lessons, **more)
    answer = plan_term(problem)
    assert answer.status == "optimal"
    assert check_plan(problem, answer.introductions, answer.reviews) == ()
    return answer


def test_a_figure_comes_in_a_later_lesson_than_what_it_needs():
    fan = FigureToTeach("fan", 10)
    alemana = FigureToTeach("alemana", 10, needs={"fan"})
    hockey_stick = FigureToTeach("hockey stick", 10, needs={"alemana"})
    answer = plan([hockey_stick, alemana, fan], evenings(3))
    assert answer.introductions == {"fan": 0, "alemana": 1, "hockey stick": 2}


def test_a_figure_may_share_the_evening_with_what_it_comes_after():
    whisk = FigureToTeach("whisk", 10)
    chasse = FigureToTeach("chasse", 10, after={"whisk"})
    assert plan([chasse, whisk], evenings(1)).introductions == {"chasse": 0, "whisk": 0}


def test_a_figure_both_needed_and_come_after_is_needed():
    whisk = FigureToTeach("whisk", 10)
    chasse = FigureToTeach("chasse", 10, needs={"whisk"}, after={"whisk"})
    assert plan([chasse, whisk], evenings(2)).introductions == {"whisk": 0, "chasse": 1}


def test_what_the_level_knows_already_need_not_be_taught():
    alemana = FigureToTeach("alemana", 10, needs={"fan"}, after={"basic"})
    assert plan([alemana], evenings(1), known={"fan", "basic"}).introductions == {"alemana": 0}


def test_a_figure_whose_need_is_left_out_is_left_out_too():
    fan = FigureToTeach("fan", 50, required=False)
    alemana = FigureToTeach("alemana", 5, needs={"fan"}, required=False)
    answer = plan([fan, alemana], evenings(2, minutes=40))
    assert answer.introductions == {}
    assert answer.left_out == ("fan", "alemana")


def test_the_more_important_figure_is_kept_where_one_must_go():
    whisk = FigureToTeach("whisk", 40, required=False, importance=2)
    weave = FigureToTeach("weave", 40, required=False, importance=5)
    answer = plan([whisk, weave], evenings(1))
    assert answer.left_out == ("whisk",)
    assert answer.minutes == (40,)


def test_no_more_new_figures_an_evening_than_the_level_takes():
    figures = [FigureToTeach(name, 5) for name in ("one", "two", "three")]
    answer = plan(figures, evenings(3, max_new=1))
    assert sorted(answer.introductions.values()) == [0, 1, 2]


def test_an_evening_may_ask_for_a_least_number_of_new_figures():
    figures = [FigureToTeach(name, 5) for name in ("one", "two", "three")]
    answer = plan(figures, (LessonSlot(0, 60), LessonSlot(1, 60), LessonSlot(2, 60, min_new=3)))
    assert set(answer.introductions.values()) == {2}


def test_an_evening_may_ask_to_be_filled():
    figures = [FigureToTeach("long", 30), FigureToTeach("short", 10)]
    answer = plan(figures, (LessonSlot(0, 60), LessonSlot(1, 60, min_minutes=40)))
    assert answer.minutes == (0, 40)


def test_reviews_help_to_fill_an_evening():
    answer = plan(
        [FigureToTeach("basic", 10, review_minutes=5)],
        (LessonSlot(0, 60), LessonSlot(1, 60, min_minutes=5)),
        ranks=("peak", "left_out", "moved", "late_reviews", "order"),
    )
    assert answer.minutes == (10, 5)


def test_earliest_latest_pinned_and_barred_are_kept():
    answer = plan(
        [
            FigureToTeach("early", 5, latest=0),
            FigureToTeach("late", 5, earliest=3),
            FigureToTeach("kept", 5, pinned=2),
            FigureToTeach("away", 5, barred={0, 2, 3}),
        ],
        evenings(4),
    )
    assert answer.introductions == {"early": 0, "late": 3, "kept": 2, "away": 1}


def test_a_pin_introduces_even_what_is_not_required():
    answer = plan(
        [
            FigureToTeach("pinned", 40, pinned=0, required=False, importance=1),
            FigureToTeach("worthy", 40, required=False, importance=9),
        ],
        evenings(1),
    )
    assert answer.introductions == {"pinned": 0}


def test_parts_lie_in_lessons_that_follow_each_other_with_the_larger_first():
    answer = plan([FigureToTeach("double reverse", 25, parts=3, pinned=1)], evenings(4))
    assert answer.minutes == (0, 9, 8, 8)


def test_all_parts_lie_inside_the_term():
    answer = plan([FigureToTeach("double reverse", 25, parts=3, earliest=1)], evenings(4))
    assert answer.introductions == {"double reverse": 1}


def test_what_needs_a_figure_in_parts_waits_for_its_last_part():
    spin = FigureToTeach("spin", 20, parts=2)
    impetus = FigureToTeach("impetus", 10, needs={"spin"})
    wing = FigureToTeach("wing", 10, after={"spin"})
    answer = plan([spin, impetus, wing], evenings(3), ranks=("order", "peak"))
    assert answer.introductions["spin"] == 0
    assert answer.introductions["impetus"] == 2
    assert answer.introductions["wing"] >= 1


def test_only_the_first_part_counts_as_new():
    answer = plan(
        [FigureToTeach("spin", 20, parts=2), FigureToTeach("wing", 10, pinned=1)],
        (LessonSlot(0, 60, max_new=1), LessonSlot(1, 60, max_new=1)),
    )
    assert answer.introductions == {"spin": 0, "wing": 1}


def test_a_set_is_introduced_together_or_left_out_together():
    pair = [FigureToTeach("left turn", 30, required=False), FigureToTeach("right turn", 30, required=False)]
    together = ({"left turn", "right turn"},)
    roomy = plan(pair, evenings(2, minutes=60), together=together)
    assert roomy.introductions["left turn"] == roomy.introductions["right turn"]
    tight = plan(pair, evenings(2, minutes=50), together=together)
    assert tight.left_out == ("left turn", "right turn")


def test_figures_kept_apart_never_share_an_evening_in_any_part():
    answer = plan(
        [FigureToTeach("outside turn", 20, parts=2), FigureToTeach("inside turn", 20, latest=1)],
        evenings(3),
        apart=({"outside turn", "inside turn"},),
    )
    assert answer.introductions == {"outside turn": 1, "inside turn": 0}


def test_a_term_without_figures_or_without_lessons_is_planned_at_once():
    assert plan([], evenings(2)).minutes == (0, 0)
    empty = plan([FigureToTeach("whisk", 10, required=False)], ())
    assert (empty.left_out, empty.minutes, empty.introductions) == (("whisk",), (), {})
