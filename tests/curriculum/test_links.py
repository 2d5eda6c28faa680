"""Links: the shortest row of taught figures that mends a broken join."""

from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from curriculum.rules.chain import Floor, Passage, Stance, find_link, find_links, joins, stance_after

FLOOR = Floor({"closed": {"two-hand"}, "two-hand": {"closed"}})
PROMENADE_R = Stance("promenade", "R", 1)
CLOSED_R = Stance("closed", "R", 1)
CLOSED_L = Stance("closed", "L", 1)

CHASSE = Passage("chasse from promenade", PROMENADE_R, CLOSED_R, 3)
CROSS = Passage("cross hesitation", PROMENADE_R, CLOSED_R, 3)
LEFT_CHANGE = Passage("left foot closed change", CLOSED_L, CLOSED_R, 3)
RIGHT_CHANGE = Passage("right foot closed change", CLOSED_R, CLOSED_L, 3)
LONG_WAY = Passage("wing", PROMENADE_R, CLOSED_L, 9)
DANCE = (LONG_WAY, LEFT_CHANGE, CROSS, CHASSE, RIGHT_CHANGE)
EVERYTHING = {passage.figure for passage in DANCE}


def link(start, goal, *, passages=DANCE, taught=EVERYTHING, **more):
    return find_link(start, goal, passages, floor=FLOOR, taught=taught, **more)


def links(start, goal, *, passages=DANCE, taught=EVERYTHING, **more):
    return find_links(start, goal, passages, floor=FLOOR, taught=taught, **more)


def test_between_whisk_and_natural_turn_a_chasse_is_danced():
    assert link(PROMENADE_R, CLOSED_R) == (CHASSE,)


def test_nothing_is_needed_where_the_stances_join_already():
    assert link(CLOSED_R, CLOSED_R) == ()
    assert link(CLOSED_R, Stance("two-hand", "R", 1)) == ()
    assert links(CLOSED_R, CLOSED_R) == ((),)


def test_only_taught_figures_mend():
    assert link(PROMENADE_R, CLOSED_R, taught=EVERYTHING - {"chasse from promenade"}) == (CROSS,)
    assert link(PROMENADE_R, CLOSED_R, taught={"wing", "left foot closed change"}) == (LONG_WAY, LEFT_CHANGE)
    assert link(PROMENADE_R, CLOSED_R, taught=set()) is None
    assert links(PROMENADE_R, CLOSED_R, taught=set()) == ()


def test_fewest_beats_come_before_fewest_figures():
    assert link(PROMENADE_R, CLOSED_L) == (CHASSE, RIGHT_CHANGE)


def test_of_equal_beats_the_fewest_figures():
    two_steps = Passage("two steps at once", PROMENADE_R, CLOSED_L, 6)
    found = link(PROMENADE_R, CLOSED_L, passages=(*DANCE, two_steps), taught={*EVERYTHING, two_steps.figure})
    assert found == (two_steps,)


def test_of_equal_length_the_first_by_key_whatever_the_order_of_the_passages():
    assert link(PROMENADE_R, CLOSED_R, passages=(CROSS, CHASSE)) == (CHASSE,)
    assert link(PROMENADE_R, CLOSED_R, passages=(CHASSE, CROSS)) == (CHASSE,)


def test_no_row_is_longer_than_allowed():
    assert link(PROMENADE_R, CLOSED_L, max_figures=1) == (LONG_WAY,)
    assert link(PROMENADE_R, CLOSED_L, max_figures=0) is None
    assert link(CLOSED_R, CLOSED_R, max_figures=0) == ()


def test_going_round_and_round_ends_with_the_longest_row_allowed():
    sway = Passage("sway", CLOSED_R, CLOSED_R, 3)
    found = links(PROMENADE_R, CLOSED_R, passages=(CHASSE, sway), taught={CHASSE.figure, "sway"}, count=10)
    assert found == ((CHASSE,), (CHASSE, sway), (CHASSE, sway, sway))


def test_proposals_are_different_and_come_best_first():
    found = links(PROMENADE_R, CLOSED_R)
    assert found[:2] == ((CHASSE,), (CROSS,))
    assert len(set(found)) == 3
    assert links(PROMENADE_R, CLOSED_R, count=1) == found[:1]
    assert links(PROMENADE_R, CLOSED_R, count=0) == ()
    assert links(CLOSED_R, CLOSED_R, count=0) == ()


def test_the_same_passage_given_twice_is_one_proposal():
    assert links(PROMENADE_R, CLOSED_R, passages=(CHASSE, CHASSE), max_figures=1) == ((CHASSE,),)


def test_a_link_may_use_a_free_change_at_either_end():
    new_york = Passage("New York", Stance("two-hand", "L"), Stance("two-hand", "R"), 4)
    found = find_link(
        Stance("closed", "L"), Stance("closed", "R"), (new_york,), floor=FLOOR, taught={"New York"}
    )
    assert found == (new_york,)


def test_the_place_is_carried_through_figures_that_stay():
    step = Passage("change of foot", Stance("closed", "L"), Stance("closed", "R"), 1)
    assert link(CLOSED_L, CLOSED_R, passages=(step,), taught={step.figure}) == (step,)
    assert link(Stance("closed", "L", 2), CLOSED_R, passages=(step,), taught={step.figure}) is None


def test_the_give_of_the_figure_before_the_gap_helps():
    start = Stance("closed", "L", 2)
    assert link(start, CLOSED_R, passages=(LEFT_CHANGE,)) is None
    assert link(start, CLOSED_R, passages=(LEFT_CHANGE,), give=1) == (LEFT_CHANGE,)


HOLDS = st.sampled_from(["closed", "two-hand", "fan"])
STANCES = st.builds(
    Stance, HOLDS | st.none(), st.none() | st.sampled_from("LR"), st.none() | st.integers(0, 2)
)
PASSAGES = st.lists(
    st.builds(
        Passage,
        st.sampled_from("abc"),
        STANCES,
        STANCES,
        st.sampled_from([0, 3, 4, 6]),
        give=st.integers(0, 1),
    ),
    max_size=6,
)


def every_link(start, goal, passages, floor, longest):
    """All rows that mend, best first, by trying every row there is."""
    if joins(start, goal, floor=floor):
        return [()]
    found = []
    distinct = list(dict.fromkeys(passages))
    for length in range(1, longest + 1):
        for row in product(range(len(distinct)), repeat=length):
            stance, give = start, 0
            for place in row:
                passage = distinct[place]
                if not joins(stance, passage.entry, floor=floor, give=give):
                    break
                stance, give = stance_after(stance, passage), passage.give
            else:
                if joins(stance, goal, floor=floor, give=give):
                    chosen = tuple(distinct[place] for place in row)
                    beats = sum(passage.beats for passage in chosen)
                    keys = tuple(passage.figure for passage in chosen)
                    found.append(((beats, length, keys, row), chosen))
    return [chosen for _, chosen in sorted(found, key=lambda entry: entry[0])]


@settings(max_examples=300, deadline=None)
@given(STANCES, STANCES, PASSAGES, st.integers(1, 4))
def test_trying_every_row_finds_nothing_better(start, goal, passages, count):
    taught = {"a", "b"}
    known = [passage for passage in passages if passage.figure in taught]
    expected = every_link(start, goal, known, FLOOR, 3)
    assert list(links(start, goal, passages=passages, taught=taught, count=count)) == expected[:count]
    assert link(start, goal, passages=passages, taught=taught) == (expected[0] if expected else None)
