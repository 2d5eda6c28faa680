"""The shape of an evening and its figures become segments; the sheet always fits the lesson to the minute."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lessons.rules.segments import USUAL_SHAPE, Evening, Item, ShapeRow, segments_of, share, sheet_of

WHISK, CHASSE = Item("whisk", 15), Item("chasse", 12)


def kinds(evening):
    return [segment.kind for segment in segments_of(evening)]


def minutes_of(sheet):
    return {timed.segment.figure or timed.segment.kind: timed.minutes for timed in sheet.segments}


def test_the_evening_goes_in_the_order_of_the_shape_with_carry_over_before_what_is_new():
    evening = Evening(60, recap=True, routine=True, again=(CHASSE,), carry=(Item("fan", 5),), new=(WHISK,))
    assert kinds(evening) == [
        "arrive", "warm_up", "recap", "review", "carry", "new", "routine", "practice", "close",
    ]  # fmt: skip


def test_what_the_evening_does_not_hold_takes_no_place():
    assert kinds(Evening(60)) == ["arrive", "warm_up", "practice", "close"]


def test_each_figure_is_a_segment_of_its_own():
    titles = [segment.title for segment in segments_of(Evening(60, new=(WHISK, CHASSE)))]
    assert "New: whisk" in titles
    assert "New: chasse" in titles


def test_a_part_of_a_figure_says_which():
    part = Item("natural turn", 10, part=1, parts=2)
    assert "New: natural turn, part 2 of 2" in [s.title for s in segments_of(Evening(60, new=(part,)))]


def test_a_light_figure_gets_the_shapes_minutes_of_new_and_heavy_ones_get_their_own():
    def ideals(*items):
        return [s.ideal for s in segments_of(Evening(60, new=items)) if s.kind == "new"]

    assert ideals(Item("a", 10)) == [18]
    assert ideals(Item("a", 6), Item("b", 3)) == [12, 6]
    assert ideals(WHISK, CHASSE) == [15, 12]


def test_a_figure_keeps_what_the_plan_sets_aside_while_the_rest_still_fits():
    """The plan's room is the lesson less the least of everything else: 60 - 22 = 38 in the usual hour."""
    evening = Evening(60, recap=True, routine=True, new=(Item("a", 20), Item("b", 18)))
    sheet = sheet_of(evening)
    assert minutes_of(sheet)["a"] == 20
    assert minutes_of(sheet)["b"] == 18
    assert not sheet.squeezed


def test_a_shorter_evening_squeezes_figures_before_it_drops_any():
    sheet = sheet_of(Evening(45, recap=True, routine=True, new=(Item("a", 20), Item("b", 18))))
    assert sheet.squeezed
    assert not sheet.left_out
    assert sum(timed.minutes for timed in sheet.segments) == 45


def test_twenty_minutes_drop_the_most_harmless_first_and_never_the_warm_up():
    evening = Evening(20, recap=True, routine=True, again=(Item("fan", 4),), new=(WHISK,))
    sheet = sheet_of(evening)
    assert [segment.kind for segment in sheet.left_out] == ["recap", "practice", "routine"]
    shortest = 2 + 4 + 5 + 2 + 10 + 5 + 4 + 2
    assert sheet.missing == shortest - 20
    assert "warm_up" in minutes_of(sheet)
    assert sum(timed.minutes for timed in sheet.segments) == 20


def test_the_schools_own_word_on_what_gives_way_comes_first():
    shape = tuple(
        ShapeRow(row.kind, row.least, row.ideal, row.most, give_way=1 if row.kind == "routine" else 0)
        for row in USUAL_SHAPE
    )
    sheet = sheet_of(Evening(25, shape=shape, recap=True, routine=True, new=(WHISK,)))
    assert sheet.left_out[0].kind == "routine"


def test_minutes_left_over_go_to_practice_and_are_named():
    sheet = sheet_of(Evening(60))
    assert sheet.spare == 60 - (5 + 8 + 15 + 4)
    assert minutes_of(sheet) == {"arrive": 5, "warm_up": 8, "practice": 15 + 28, "close": 4}


def test_one_minute_is_still_a_sheet():
    sheet = sheet_of(Evening(1, new=(WHISK,)))
    assert sum(timed.minutes for timed in sheet.segments) == 1
    assert sheet.left_out


def test_a_shape_that_forgets_new_figures_teaches_them_before_the_routine_all_the_same():
    shape = tuple(row for row in USUAL_SHAPE if row.kind != "new")
    assert kinds(Evening(60, shape=shape, routine=True, new=(WHISK,))) == [
        "arrive", "warm_up", "new", "routine", "practice", "close",
    ]  # fmt: skip


def test_what_comes_again_in_the_routine_lengthens_it_by_its_minute():
    plain = segments_of(Evening(60, routine=True))
    longer = segments_of(Evening(60, routine=True, danced=("box step", "whisk")))
    ideals = [next(s.ideal for s in found if s.kind == "routine") for found in (plain, longer)]
    assert ideals[1] == ideals[0] + 2


@pytest.mark.parametrize(
    ("total", "weights", "shares"), [(18, [12, 6], [12, 6]), (10, [1, 1, 1], [4, 3, 3]), (0, [5, 5], [0, 0])]
)
def test_minutes_are_shared_whole_and_in_proportion(total, weights, shares):
    assert share(total, weights) == shares


items = st.lists(st.integers(1, 40), max_size=4)


@given(
    minutes=st.integers(1, 180),
    new=items,
    again=items,
    carry=items,
    recap=st.booleans(),
    routine=st.booleans(),
)
def test_whatever_the_evening_holds_the_sheet_adds_up_exactly(minutes, new, again, carry, recap, routine):
    def named(kind, lengths):
        return tuple(Item(f"{kind} {place}", length) for place, length in enumerate(lengths))

    evening = Evening(
        minutes,
        recap=recap,
        routine=routine,
        new=named("new", new),
        again=named("again", again),
        carry=named("carry", carry),
    )
    sheet = sheet_of(evening)
    assert sum(timed.minutes for timed in sheet.segments) == minutes
    assert [timed.start for timed in sheet.segments] == [
        sum(timed.minutes for timed in sheet.segments[:place]) for place in range(len(sheet.segments))
    ]
    shown = {timed.segment.title for timed in sheet.segments}
    left_out = {segment.title for segment in sheet.left_out}
    assert not shown & left_out
    if not sheet.squeezed:
        figures = {timed.segment.figure: timed.minutes for timed in sheet.segments if timed.segment.figure}
        assert all(
            figures[item.key] >= item.minutes for item in (*evening.new, *evening.again, *evening.carry)
        )
    assert shown | left_out >= {segment.title for segment in segments_of(evening) if segment.least}
