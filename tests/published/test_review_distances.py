"""The distances after which a figure comes again, against what is published about spacing.

Range: Cepeda, Vul, Rohrer, Wixted and Pashler 2008, Spacing effects in learning: the gap that serves best
is 20 to 40 % of the time it must last where that is a week, 5 to 10 % where it is a year (abstract).
Shape: the free spaced-repetition scheduler, as the package `fsrs` computes it.
"""

import datetime as dt
from itertools import pairwise, product

from fsrs import Card, Rating, Scheduler

from lessons.planners.review import NOT_YET, SHAKY, SOLID, TERM_DAYS, UNSAID, WORDS, review_after

RATING = {NOT_YET: Rating.Again, SHAKY: Rating.Hard, UNSAID: Rating.Good, SOLID: Rating.Easy}
BEGINS = dt.datetime(2026, 1, 6, 19, 30, tzinfo=dt.UTC)
WEEK = 7
HISTORIES = [history for length in (1, 2, 3, 4) for history in product(WORDS, repeat=length)]


def times_again(history):
    """Lessons since it was new of every time again, each danced when it is due, and of the next one; None
    where the figure is done before all these words are said, or after the last of them."""
    been = []
    for said in range(len(history)):
        found = review_after(history[0], list(zip(been, history[1:], strict=False)))
        if len(found) <= said:
            return None
        been.append(found[said])
    return been


def stability(history):
    """Days for which the scheduler holds nine in ten, had it been asked on the same evenings."""
    scheduler = Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)
    card = Card()
    for lessons, went in zip([0, *times_again(history)], history, strict=False):
        card, _ = scheduler.review_card(card, RATING[went], BEGINS + dt.timedelta(days=WEEK * lessons))
    return card.stability


def last_distance(history):
    *_, before, last = [0, *times_again(history)]
    return last - before


def test_every_distance_lies_between_5_and_40_per_cent_of_a_term_of_ten_weeks():
    gaps = {
        after - before
        for history in HISTORIES
        for before, after in pairwise([0, *(times_again(history) or ())])
    }
    assert gaps == {1, 2, 3, 4}
    assert all(0.05 <= WEEK * lessons / TERM_DAYS <= 0.40 for lessons in gaps)


def test_distances_planned_ahead_never_shrink():
    """Kang, Lindsey, Mozer and Pashler 2014: expanding gaps stay higher on the way."""
    for new in WORDS:
        gaps = [after - before for before, after in pairwise([0, *review_after(new)])]
        assert gaps == sorted(gaps)


def test_the_four_answers_of_the_scheduler_stand_in_the_order_of_the_four_words():
    """On every course a figure can take, where the scheduler keeps longer the school waits no less."""
    compared = 0
    for before in [(), *HISTORIES]:
        histories = [(*before, went) for went in WORDS if times_again((*before, went))]
        ours = [last_distance(history) for history in histories]
        theirs = [stability(history) for history in histories]
        assert ours == sorted(ours)
        assert theirs == sorted(theirs)
        compared += len(histories)
    assert compared > 200


def test_as_with_the_scheduler_the_distance_grows_while_it_goes_well_and_falls_when_it_does_not():
    well = [(UNSAID,) * times for times in (1, 2, 3)]
    for measure in (last_distance, stability):
        grown = [measure(history) for history in well]
        assert grown == sorted(grown)
        assert grown[0] < grown[-1]
        assert measure((UNSAID, UNSAID, NOT_YET)) < grown[-1]
