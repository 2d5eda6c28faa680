"""What a join is like to dance, where a figure leads nowhere, and a row changed at one place."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curriculum.rules.chain import Floor, Passage, Stance
from curriculum.rules.dead_ends import dead_end_sentence, dead_ends
from curriculum.rules.going import Going, going_of, notes_between
from curriculum.rules.row_editing import NoSuchPlace, RowTooLong, move, put_in, replace, take_out
from curriculum.rules.steps import Step
from curriculum.rules.wording import Words

rows = st.lists(st.integers(), min_size=1, max_size=12).map(tuple)


def step(foot, action, direction="", cue=""):
    return Step("1", 12, foot, action, direction, cue=cue)


class TestGoing:
    def test_forward_into_back_reverses(self):
        before = going_of([step("L", "step", "forward")], [step("R", "step", "back")])
        after = going_of([step("R", "step", "back")], [step("L", "step", "forward")])
        (note,) = notes_between(before, after, figures=("lock", "change"))
        assert note.kind == "reverses"
        assert note.sentence == (
            "The way of going reverses: lock ends going forward, change begins back (leader)."
        )

    @pytest.mark.parametrize(
        ("action", "direction"),
        [("close", ""), ("step", "side"), ("step", "side and slightly back"), ("touch", "back")],
    )
    def test_what_closes_goes_aside_or_takes_no_weight_reverses_nothing(self, action, direction):
        before = going_of([step("L", "step", "forward")], [])
        after = going_of([step("R", action, direction)], [])
        assert notes_between(before, after, figures=("a", "b")) == ()

    def test_a_way_straight_on_is_no_note(self):
        forward = going_of([step("L", "step", "forward")], [])
        assert notes_between(forward, forward, figures=("a", "b")) == ()

    def test_from_in_line_to_partner_outside(self):
        before = Going()
        after = going_of(
            [step("L", "step", "back")], [step("R", "step", "forward", "steps outside the leader")]
        )
        (note,) = notes_between(before, after, figures=("chasse", "back lock"))
        assert note.sentence == (
            "From in line to partner outside: back lock begins with a step outside the partner."
        )
        assert notes_between(after, after, figures=("a", "b")) == ()

    def test_a_cue_about_the_next_step_is_not_about_this_one(self):
        last = [step("L", "step", "side", "next step goes outside the partner")]
        assert not going_of(last, last).ends_outside

    def test_without_a_chart_nothing_is_said(self):
        assert notes_between(None, Going(begins_outside=True), figures=("a", "b")) == ()


class TestDeadEnds:
    FLOOR = Floor({"shadow": {"wrap"}})

    def way(self, figure, entry, end):
        return Passage(figure, Stance(entry), Stance(end), 4)

    def test_a_hold_nothing_else_taught_begins_in_is_a_dead_end(self):
        fan, alemana = self.way("fan", "closed", "fan"), self.way("alemana", "fan", "closed")
        assert dead_ends([fan], [fan, alemana], floor=self.FLOOR, taught={"fan"}) == (fan,)
        assert dead_ends([fan], [fan, alemana], floor=self.FLOOR, taught={"fan", "alemana"}) == ()

    def test_a_free_change_leads_on(self):
        turn, wrapped = self.way("turn", "closed", "shadow"), self.way("wrapped", "wrap", "closed")
        assert dead_ends([turn], [turn, wrapped], floor=self.FLOOR, taught={"wrapped"}) == ()

    def test_the_figure_itself_does_not_count(self):
        spin = self.way("spin", "shadow", "shadow")
        assert dead_ends([spin, spin], [spin], floor=self.FLOOR, taught={"spin"}) == (spin,)

    def test_a_figure_that_begins_in_any_hold_leads_on(self):
        fan, walk = self.way("fan", "closed", "fan"), self.way("walk", None, "closed")
        assert dead_ends([fan], [fan, walk], floor=self.FLOOR, taught={"walk"}) == ()

    def test_in_words(self):
        said = dead_end_sentence(self.way("whisk", "closed", "promenade"), Words())
        assert said == "Whisk ends in promenade, and nothing else taught by then begins there."


class TestARow:
    @given(rows, st.data())
    def test_what_is_put_in_can_be_taken_out(self, row, data):
        gap = data.draw(st.integers(0, len(row)))
        assert take_out(put_in(row, gap, ("new",)), gap) == row

    @given(rows, st.data())
    def test_what_moves_stands_where_it_was_sent_and_the_rest_keeps_its_order(self, row, data):
        place, to = (data.draw(st.integers(0, len(row) - 1)) for _ in range(2))
        moved = move(row, place, to)
        assert moved[to] == row[place]
        assert take_out(moved, to) == take_out(row, place)
        assert move(moved, to, place) == row

    @given(rows, st.data())
    def test_only_one_is_replaced(self, row, data):
        place = data.draw(st.integers(0, len(row) - 1))
        changed = replace(row, place, "new")
        assert [old for old, new in zip(row, changed, strict=True) if old != new] == [row[place]]

    @pytest.mark.parametrize(
        "wrong",
        [
            lambda: take_out((), 0),
            lambda: take_out((1,), -1),
            lambda: replace((1,), 1, 2),
            lambda: move((1, 2), 0, 2),
            lambda: put_in((1,), 3, (2,)),
        ],
    )
    def test_a_place_that_is_not_there_is_said(self, wrong):
        with pytest.raises(NoSuchPlace, match="no such place"):
            wrong()

    def test_a_row_has_an_end(self):
        with pytest.raises(RowTooLong, match="at most 1,000 figures"):
            put_in((1,) * 999, 0, (1, 1))
