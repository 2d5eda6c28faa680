"""All courses of a term: side by side, in step where they are tied, the time shared fairly."""

import threading
import time
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lessons.planners.term import (
    FigureToTeach,
    LessonSlot,
    ProblemError,
    TermProblem,
    check_plan,
    plan_school,
    plan_term,
)


def course(count=5, **first):
    figures = [FigureToTeach(f"figure {number}", 20, 4, order=number) for number in range(count)]
    figures[0] = FigureToTeach("figure 0", 20, 4, **first)
    return TermProblem(tuple(figures), tuple(LessonSlot(index, 60, max_new=1) for index in range(8)))


def test_every_course_gets_the_plan_it_would_get_alone():
    problems = {"Monday": course(), "Tuesday": course(4), "Friday": course(3, pinned=2)}
    plans = plan_school(problems)
    assert list(plans) == ["Monday", "Tuesday", "Friday"]
    assert plans == {name: plan_term(problem) for name, problem in problems.items()}


def test_tied_courses_introduce_a_figure_in_the_same_week():
    # Alone each would put this set of figures wherever its own order is served.
    monday = course(pinned=3)
    thursday = course()
    alone = plan_term(thursday)
    assert alone.introductions["figure 0"] != 3
    plans = plan_school({"Monday": monday, "Thursday": thursday}, (("Monday", "Thursday"),))
    assert plans["Thursday"].introductions == plans["Monday"].introductions
    assert [aim.name for aim in plans["Thursday"].aims] == [aim.name for aim in alone.aims]


def test_a_tied_course_that_cannot_follow_stays_as_near_as_it_can():
    behind = TermProblem(
        course().figures, (LessonSlot(0, 60, taught=()), *(LessonSlot(i, 60, max_new=1) for i in range(1, 8)))
    )
    plans = plan_school({"Monday": course(pinned=0), "Thursday": behind}, (("Thursday", "Monday"),))
    assert plans["Monday"].introductions["figure 0"] == 0
    monday, thursday = (plans[name].introductions for name in ("Monday", "Thursday"))
    # Only the figure of the lost evening has to stand elsewhere, and no figure can be nearer than one lesson.
    assert sum(abs(monday[key] - thursday[key]) for key in monday) <= len(monday)
    assert check_plan(behind, thursday, plans["Thursday"].reviews) == ()


def test_no_tied_course_leads():
    # Either alone would put the figure where it must; the other follows, whichever is named first.
    problems = {"Monday": course(), "Thursday": course(pinned=3)}
    plans = plan_school(problems, (("Monday", "Thursday"),))
    assert plans["Monday"].introductions == plans["Thursday"].introductions
    assert plans["Monday"].introductions["figure 0"] == 3


@given(
    minutes=st.lists(st.integers(5, 25), min_size=2, max_size=3),
    rooms=st.lists(st.integers(20, 45), min_size=6, max_size=6),
    pinned=st.one_of(st.none(), st.integers(0, 2)),
)
def test_tied_courses_are_as_near_as_any_pair_of_plans_that_leaves_out_as_little(minutes, rooms, pinned):
    figures = tuple(
        FigureToTeach(f"figure {place}", length, required=False) for place, length in enumerate(minutes)
    )
    kept = (replace(figures[0], pinned=pinned, required=False), *figures[1:])
    one = TermProblem(figures, tuple(LessonSlot(at, room) for at, room in enumerate(rooms[:3])))
    other = TermProblem(kept, tuple(LessonSlot(at, room) for at, room in enumerate(rooms[3:])))
    plans = plan_school({"one": one, "other": other}, (("one", "other"),), seconds=20)

    def sound(problem):
        for places in product((None, 0, 1, 2), repeat=len(figures)):
            placed = {f.key: at for f, at in zip(problem.figures, places, strict=True) if at is not None}
            if not check_plan(problem, placed):
                yield len(figures) - len(placed), placed

    def weigh(pair):
        (out, mine), (others_out, theirs) = pair
        return out + others_out, sum(abs(at - theirs[key]) for key, at in mine.items() if key in theirs)

    pairs = list(product(sound(one), sound(other)))
    if not pairs:
        assert "impossible" in {plan.status for plan in plans.values()}
        return
    reached = tuple((len(plans[name].left_out), plans[name].introductions) for name in ("one", "other"))
    assert weigh(reached) == min(map(weigh, pairs))


def test_of_tied_courses_one_that_is_impossible_says_why_and_the_others_are_planned_in_step():
    problems = {"Monday": course(pinned=2), "Tuesday": course(pinned=4, latest=3), "Friday": course()}
    ties = (("Monday", "Tuesday"), ("Monday", "Friday"))
    plans = plan_school(problems, ties)
    assert [plan.status for plan in plans.values()] == ["optimal", "impossible", "optimal"]
    assert {reason.kind for reason in plans["Tuesday"].conflict} == {"pinned", "latest"}
    assert plans["Friday"].introductions == plans["Monday"].introductions


def test_what_one_course_has_taught_draws_the_other_after_it():
    taught = LessonSlot(0, 60, taught={"figure 0"})
    ahead = TermProblem(course().figures, (taught, *(LessonSlot(i, 60, max_new=1) for i in range(1, 8))))
    plans = plan_school({"Monday": course(earliest=1), "Thursday": ahead}, (("Monday", "Thursday"),))
    assert plans["Monday"].introductions["figure 0"] == 1


def test_tied_courses_without_a_figure_in_common_are_planned_all_the_same():
    single = TermProblem((FigureToTeach("spin", 20),), course().lessons)
    plans = plan_school({"Monday": course(), "Friday": single}, (("Monday", "Friday"),))
    assert {plan.status for plan in plans.values()} == {"optimal"}


def test_progress_names_the_course_and_is_told_in_the_calling_thread():
    told = []
    plan_school(
        {"Monday": course(), "Tuesday": course(3)},
        on_progress=lambda progress: told.append((progress.course, threading.get_ident())),
    )
    assert {name for name, _ in told} == {"Monday", "Tuesday"}
    assert {thread for _, thread in told} == {threading.get_ident()}


def large_course():
    figures = tuple(
        FigureToTeach(
            f"figure {number}",
            8 + number * 7 % 18,
            5,
            needs={f"figure {number - 3}"} if number > 2 else (),
            order=number * 11 % 40,
        )
        for number in range(40)
    )
    return TermProblem(figures, tuple(LessonSlot(index, 75) for index in range(16)))


def test_a_stop_ends_all_of_them():
    started = time.monotonic()
    plans = plan_school(
        dict.fromkeys("abcd", large_course()),
        seconds=60,
        should_stop=lambda: time.monotonic() - started > 1.0,
    )
    assert time.monotonic() - started < 4.0
    assert {plan.status for plan in plans.values()} <= {"feasible", "unknown"}
    assert plans["a"].status == "feasible"


def test_the_time_is_shared():
    tied = (("a", "b"), ("b", "c"))
    started = time.monotonic()
    plans = plan_school(dict.fromkeys("abc", large_course()), tied, seconds=3)
    assert time.monotonic() - started < 5.5
    assert all(plan.introductions for plan in plans.values())


def test_no_courses_no_plans():
    assert plan_school({}) == {}


def test_a_tie_to_a_course_that_is_not_planned_is_refused():
    with pytest.raises(ProblemError, match="Sunday is tied"):
        plan_school({"Monday": course()}, (("Monday", "Sunday"),))


def test_a_course_that_cannot_be_read_is_named():
    with pytest.raises(ProblemError, match="Monday: figure 0 is kept in lesson 10"):
        plan_school({"Monday": course(pinned=9)})
