"""A search that reports, can be stopped, and answers in time."""

import signal
import subprocess
import sys
import threading
import time
from itertools import pairwise
from pathlib import Path

import pytest

from lessons.planners.term import FigureToTeach, LessonSlot, TermProblem, check_plan, plan_term
from tests.lessons.machine import machine_watched


@pytest.fixture(scope="module")
def long_search():
    """A term too large to be proved in the seconds these tests allow."""
    figures = tuple(
        FigureToTeach(
            f"figure {number}",
            minutes=8 + number * 7 % 18,
            review_minutes=4 + number % 3,
            needs={f"figure {number - back}" for back in (3, 5) if number % back == 0 and number >= back},
            order=number * 11 % 60,
            importance=1 + number % 10,
            required=False,
        )
        for number in range(60)
    )
    return TermProblem(figures, tuple(LessonSlot(index, 75) for index in range(16)))


def test_a_stop_ends_the_search_within_a_second_with_the_best_plan(long_search):
    asked = []

    def should_stop():
        asked.append(time.monotonic())
        return len(asked) > 5

    with machine_watched() as kept_waiting:
        answer = plan_term(long_search, seconds=60, should_stop=should_stop)
        took = time.monotonic() - asked[-1]
        longest, altogether = kept_waiting()
    assert took < 1.0 + altogether
    assert answer.status == "feasible"
    assert check_plan(long_search, answer.introductions, answer.reviews) == ()
    assert max(later - sooner for sooner, later in pairwise(asked)) < 0.5 + 3 * longest


def test_progress_is_told_at_least_every_half_second_and_only_gets_better(long_search):
    told = []
    started = time.monotonic()
    with machine_watched() as kept_waiting:
        plan_term(long_search, seconds=2, on_progress=told.append)
        took = time.monotonic() - started
        longest, altogether = kept_waiting()
    assert took < 3.5 + altogether
    seconds = [0.0, *(progress.seconds for progress in told)]
    assert max(later - sooner for sooner, later in pairwise(seconds)) < 0.5 + 3 * longest
    ranked = [tuple(aim.value for aim in progress.aims) for progress in told if progress.aims]
    assert ranked == sorted(ranked, reverse=True)
    assert all(aim.bound <= aim.value for progress in told for aim in progress.aims)


def test_a_quick_search_tells_its_result_once_at_least():
    told = []
    plan_term(TermProblem((FigureToTeach("fan", 9),), (LessonSlot(0, 60),)), on_progress=told.append)
    assert [aim.value for aim in told[-1].aims] == [0, 0, 0, 9, 0]


def test_a_stop_before_anything_is_found_says_unknown_or_gives_a_sound_plan(long_search):
    answer = plan_term(long_search, should_stop=lambda: True)
    assert answer.status in ("unknown", "feasible")
    assert check_plan(long_search, answer.introductions, answer.reviews) == ()


def test_without_time_there_may_be_no_plan_and_then_nothing_is_introduced():
    # A first plan by rule of thumb teaches early, so the demand of the last evening needs a search.
    tight = TermProblem(
        tuple(FigureToTeach(f"figure {number}", 10) for number in range(6)),
        (*(LessonSlot(index, 60) for index in range(5)), LessonSlot(5, 60, min_new=3)),
    )
    assert plan_term(tight).status == "optimal"
    answer = plan_term(tight, seconds=0.0)
    assert (answer.status, answer.introductions, answer.aims, answer.conflict) == ("unknown", {}, (), ())


def test_an_error_of_the_caller_ends_the_search(long_search):
    def on_progress(progress):
        raise LookupError("the draft is gone")

    with pytest.raises(LookupError, match="the draft is gone"):
        plan_term(long_search, seconds=60, on_progress=on_progress)


@pytest.fixture
def keyboard():
    """Ctrl-C as at a terminal; a run in the background starts with it ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


def test_the_planner_leaves_the_keyboard_interrupt_to_its_caller(long_search, keyboard):
    beats = 0

    def on_progress(progress):
        nonlocal beats
        beats += 1
        if beats == 3:
            signal.raise_signal(signal.SIGINT)

    with pytest.raises(KeyboardInterrupt):
        plan_term(long_search, seconds=60, on_progress=on_progress)
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_the_planner_may_be_called_from_any_thread(long_search):
    answers = []
    thread = threading.Thread(target=lambda: answers.append(plan_term(long_search, seconds=0.5)))
    thread.start()
    thread.join(timeout=5)
    assert answers[0].status == "feasible"


END_AT_ONCE = """
from lessons.planners.term import FigureToTeach, LessonSlot, TermProblem, plan_term
figures = tuple(FigureToTeach(f"figure {n}", 8 + n * 7 % 18, 5, order=n, required=False) for n in range(60))
plan = plan_term(TermProblem(figures, tuple(LessonSlot(at, 75) for at in range(16))), seconds=1.0)
print(plan.status)
"""


def test_a_process_that_ends_right_after_its_plan_ends_in_peace():
    root = Path(__file__).resolve().parents[2]
    ended = subprocess.run(
        [sys.executable, "-c", END_AT_ONCE], cwd=root, capture_output=True, text=True, timeout=60, check=False
    )
    assert (ended.returncode, ended.stdout.strip(), ended.stderr) == (0, "feasible", "")
