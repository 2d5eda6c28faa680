"""Where nothing taught mends a broken join: which figures would have to be taught, or which hold changed."""

from itertools import combinations, product

from hypothesis import given, settings
from hypothesis import strategies as st

from curriculum.rules.chain import Floor, Passage, Stance, find_link
from curriculum.rules.missing_link import ChangeToAllow, FiguresToTeach, MissingLink, missing_for_link

FLOOR = Floor({"closed": {"two-hand"}, "two-hand": {"closed"}})
PROMENADE_R = Stance("promenade", "R", 1)
CLOSED_R = Stance("closed", "R", 1)
CLOSED_L = Stance("closed", "L", 1)

CHASSE = Passage("chasse from promenade", PROMENADE_R, CLOSED_R, 3)
WING = Passage("wing", PROMENADE_R, CLOSED_L, 3)
LEFT_CHANGE = Passage("left foot closed change", CLOSED_L, CLOSED_R, 3)
DANCE = (WING, LEFT_CHANGE, CHASSE)


def missing(start, goal, *, passages=DANCE, taught=(), floor=FLOOR, **more):
    return missing_for_link(start, goal, passages, floor=floor, taught=taught, **more)


def test_one_figure_to_teach_is_better_than_two():
    found = missing(PROMENADE_R, CLOSED_R)
    assert found.figures == (
        FiguresToTeach(("chasse from promenade",), (CHASSE,)),
        FiguresToTeach(("wing", "left foot closed change"), (WING, LEFT_CHANGE)),
    )


def test_what_is_taught_already_need_not_be_taught():
    found = missing(PROMENADE_R, CLOSED_R, taught={"left foot closed change"})
    assert [proposal.figures for proposal in found.figures] == [("chasse from promenade",), ("wing",)]
    assert found.figures[1].row == (WING, LEFT_CHANGE)


def test_nothing_is_missing_where_the_join_holds_or_a_link_is_taught():
    assert missing(CLOSED_R, CLOSED_R) == MissingLink((), ())
    assert missing(PROMENADE_R, CLOSED_R, taught={"chasse from promenade"}) == MissingLink((), ())


def test_a_change_of_hold_that_the_dance_does_not_allow_is_named():
    found = missing(PROMENADE_R, CLOSED_R)
    assert found.changes == (ChangeToAllow("promenade", "closed", ()),)
    found = missing(Stance("promenade", "L", 1), CLOSED_R, taught={"left foot closed change"})
    assert found.figures == ()
    assert found.changes == (ChangeToAllow("promenade", "closed", (LEFT_CHANGE,)),)


def test_where_nothing_would_help_nothing_is_said():
    assert missing(Stance("promenade", "L", 1), CLOSED_R, passages=(CHASSE,)) == MissingLink((), ())


def test_no_more_is_proposed_than_asked_for():
    assert missing(PROMENADE_R, CLOSED_R, count=1).figures == missing(PROMENADE_R, CLOSED_R).figures[:1]
    assert missing(PROMENADE_R, CLOSED_R, count=0) == MissingLink((), ())


HOLDS = ["closed", "two-hand", "fan"]
STANCES = st.builds(
    Stance, st.sampled_from([*HOLDS, None]), st.none() | st.sampled_from("LR"), st.none() | st.integers(0, 1)
)
PASSAGES = st.lists(
    st.builds(Passage, st.sampled_from("abcd"), STANCES, STANCES, st.sampled_from([3, 6])), max_size=6
)


@settings(max_examples=200, deadline=None)
@given(STANCES, STANCES, PASSAGES)
def test_it_names_every_smallest_set_of_figures_and_every_change_that_would_do(start, goal, passages):
    def linked(taught, floor=FLOOR):
        return find_link(start, goal, passages, floor=floor, taught=taught) is not None

    found = missing(start, goal, passages=passages, taught={"a"}, count=100)
    if linked({"a"}):
        assert found == MissingLink((), ())
        return
    enough = [set(new) for size in (1, 2, 3) for new in combinations("bcd", size) if linked({"a", *new})]
    smallest = [new for new in enough if not any(other < new for other in enough)]
    named = [set(proposal.figures) for proposal in found.figures]
    assert sorted(map(sorted, named)) == sorted(map(sorted, smallest))
    assert [len(new) for new in named] == sorted(len(new) for new in named)
    for proposal in found.figures:
        link = find_link(start, goal, passages, floor=FLOOR, taught={"a", *proposal.figures})
        assert proposal.row == link
    wider = {
        (hold, into)
        for hold, into in product(HOLDS, repeat=2)
        if hold != into
        and linked({"a"}, Floor({**FLOOR.relaxes, hold: {*FLOOR.relaxes.get(hold, ()), into}}))
    }
    assert {(change.hold, change.into) for change in found.changes} == wider
