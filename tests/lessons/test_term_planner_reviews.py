"""When a figure comes again: due lessons, slack, order, and what no room costs."""

from lessons.planners.term import FigureToTeach, LessonSlot, Review, TermProblem, check_plan, plan_term


def evenings(count, minutes=60):
    return tuple(LessonSlot(index, minutes) for index in range(count))


def plan(figures, lessons, **more):
    problem = TermProblem(tuple(figures), lessons, **more)
    answer = plan_term(problem)
    assert answer.status == "optimal"
    assert check_plan(problem, answer.introductions, answer.reviews) == ()
    return answer


def late(answer):
    return next(aim.value for aim in answer.aims if aim.name == "late_reviews")


def test_reviews_come_after_one_two_and_four_lessons():
    answer = plan([FigureToTeach("basic", 10, 3, pinned=0)], evenings(6))
    assert answer.reviews == (Review("basic", 1, 1), Review("basic", 2, 2), Review("basic", 4, 4))
    assert answer.minutes == (10, 3, 3, 0, 3, 0)
    assert late(answer) == 0


def test_a_figure_may_have_distances_of_its_own():
    answer = plan([FigureToTeach("basic", 10, 3, pinned=0, review_after=(3,))], evenings(6))
    assert [review.index for review in answer.reviews] == [3]


def test_reviews_count_from_the_last_part():
    answer = plan([FigureToTeach("spin", 20, 3, pinned=0, parts=2)], evenings(6))
    assert [(review.index, review.due) for review in answer.reviews] == [(2, 2), (3, 3), (5, 5)]


def test_a_review_due_after_the_last_lesson_is_not_owed():
    answer = plan([FigureToTeach("basic", 10, 3, pinned=2)], evenings(4))
    assert [review.due for review in answer.reviews] == [3]
    assert late(answer) == 0


def test_without_review_minutes_no_review_is_owed():
    answer = plan([FigureToTeach("basic", 10, pinned=0, least_reviews=2)], evenings(4))
    assert answer.reviews == ()
    assert late(answer) == 0


def test_a_review_moves_within_its_slack_when_its_lesson_is_full():
    full = FigureToTeach("full", 60, pinned=1)
    answer = plan([FigureToTeach("basic", 10, 3, pinned=0, review_after=(1,)), full], evenings(4))
    assert answer.reviews == (Review("basic", 2, 1),)
    assert late(answer) == 1


def test_a_review_without_room_costs_one_more_than_the_slack():
    lessons = (LessonSlot(0, 10), LessonSlot(1, 2), LessonSlot(2, 2))
    answer = plan([FigureToTeach("basic", 10, 3, pinned=0, review_after=(1,))], lessons)
    assert answer.reviews == ()
    assert late(answer) == 2


def test_an_earlier_review_may_be_unplaced_and_a_later_one_placed():
    lessons = (LessonSlot(0, 10), LessonSlot(1, 2), LessonSlot(2, 2), LessonSlot(3, 2), LessonSlot(4, 3))
    answer = plan([FigureToTeach("basic", 10, 3, pinned=0)], lessons)
    assert answer.reviews == (Review("basic", 4, 4),)
    assert late(answer) == 4


def test_two_reviews_of_a_figure_never_share_a_lesson():
    # Lesson 3 alone has room, and both reviews could lie in it.
    lessons = (LessonSlot(0, 10), LessonSlot(1, 0), LessonSlot(2, 20), LessonSlot(3, 0))
    answer = plan([FigureToTeach("basic", 10, 3, pinned=0, review_after=(1, 2))], lessons)
    assert answer.reviews == (Review("basic", 2, 2),)
    assert late(answer) == 2


def test_a_least_number_of_reviews_makes_room_before_optional_figures_do():
    lessons = (LessonSlot(0, 10), LessonSlot(1, 10))
    basic = FigureToTeach("basic", 10, 5, pinned=0, least_reviews=2)
    extra = FigureToTeach("extra", 6, required=False, importance=9)
    answer = plan([basic, extra], lessons)
    assert answer.left_out == ("extra",)
    assert answer.reviews == (Review("basic", 1, 1),)
    without_least = plan([FigureToTeach("basic", 10, 5, pinned=0), extra], lessons)
    assert without_least.left_out == ()


def test_reviews_placed_make_an_evening_fuller():
    answer = plan([FigureToTeach("basic", 10, 30, pinned=0, review_after=(1,))], evenings(2))
    assert answer.minutes == (10, 30)
    assert next(aim.value for aim in answer.aims if aim.name == "peak") == 30
