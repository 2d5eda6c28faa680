"""When a figure comes again: the sooner and the oftener, the worse it went."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lessons.planners.review import NOT_YET, SHAKY, SOLID, UNSAID, WORDS, distance, review_after

words = st.sampled_from(WORDS)
histories = st.lists(st.tuples(st.integers(1, 4), words), max_size=4)


def since_new(gaps):
    """Pairs (lessons since it was new, how it went) from pairs of distance and word."""
    pairs, at = [], 0
    for gap, went in gaps:
        at += gap
        pairs.append((at, went))
    return pairs


def to_come(new, again):
    return review_after(new, again)[len(again) :]


@pytest.mark.parametrize(
    ("went", "again"),
    [(UNSAID, (1, 2, 4)), (SOLID, (2, 5)), (SHAKY, (1, 2, 3, 5)), (NOT_YET, (1, 2, 3, 4, 6))],
)
def test_a_new_figure_by_how_it_went(went, again):
    assert review_after(went) == again


def test_a_figure_that_went_solid_once_more_is_left_longer():
    assert review_after(UNSAID, [(1, SOLID)]) == (1, 3)
    assert review_after(UNSAID, [(1, UNSAID)]) == (1, 2, 4)


def test_a_figure_that_was_shaky_again_waits_no_longer_than_before():
    assert review_after(UNSAID, [(1, SHAKY)]) == (1, 2, 3, 5)


def test_a_figure_that_is_not_there_yet_begins_again_at_the_next_lesson():
    assert review_after(SOLID, [(2, UNSAID), (5, NOT_YET)]) == (2, 5, 6, 7, 8, 9, 11)


def test_a_figure_that_held_twice_is_done():
    assert review_after(SOLID, [(2, SOLID), (5, SOLID)]) == (2, 5)


def test_what_was_missed_comes_in_the_first_lesson_there_is():
    assert review_after(NOT_YET, not_before=4) == (4, 5, 6, 7, 9)


@given(words, histories, st.data())
def test_a_better_word_never_brings_a_figure_sooner_or_oftener(new, gaps, data):
    again = since_new(gaps)
    place = data.draw(st.integers(0, len(again)))
    went = [new, *(word for _, word in again)]
    better = data.draw(words.filter(lambda word: WORDS.index(word) >= WORDS.index(went[place])))
    went[place] = better
    now = to_come(new, again)
    then = to_come(went[0], [(at, word) for (at, _), word in zip(again, went[1:], strict=True)])
    assert len(then) <= len(now)
    assert all(later >= sooner for later, sooner in zip(then, now, strict=False))


@given(words, histories, st.integers(1, 20))
def test_distances_rise_and_keep_what_has_been(new, gaps, first_to_come):
    again = since_new(gaps)
    first_to_come += again[-1][0] if again else 0
    found = review_after(new, again, not_before=first_to_come)
    assert list(found[: len(again)]) == [at for at, _ in again]
    assert list(found) == sorted(set(found))
    assert all(at >= first_to_come for at in found[len(again) :])


@given(st.integers(-2, 12), st.floats(1, 60))
def test_a_figure_never_waits_longer_than_four_weeks_or_one_lesson(rung, days):
    lessons = distance(rung, days_between=days)
    assert lessons == 1 or lessons * days <= 28
