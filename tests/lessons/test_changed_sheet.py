"""A run-sheet changed by hand: what is kept is kept, and the rest is fitted again to the minute."""

from hypothesis import given
from hypothesis import strategies as st

from lessons.rules.segments import Evening, Item, segments_of, sheet_of
from lessons.rules.sheet_changes import Change, changed, spoken_of
from lessons.rules.sheet_check import try_out

HOUR = Evening(60, recap=True, routine=True, again=(Item("box", 4),), new=(Item("whisk", 15),))


def kinds(segments):
    return [segment.kind for segment in segments]


def minutes(sheet):
    return {timed.segment.figure or timed.segment.title: timed.minutes for timed in sheet.segments}


def as_planned(evening=HOUR):
    return list(spoken_of(segments_of(evening), ()))


class TestTheSegments:
    def test_without_changes_they_stand_as_planned(self):
        assert changed(segments_of(HOUR), ()) == segments_of(HOUR)
        assert changed(segments_of(HOUR), as_planned()) == segments_of(HOUR)

    def test_they_go_in_the_order_of_the_changes(self):
        order = list(reversed(as_planned()))
        assert kinds(changed(segments_of(HOUR), order)) == kinds(reversed(segments_of(HOUR)))

    def test_what_is_left_out_gives_its_minutes_to_the_rest(self):
        changes = [Change("recap", left_out=True)]
        sheet = sheet_of(HOUR, changes)
        assert "Last time" not in minutes(sheet)
        assert sum(minutes(sheet).values()) == 60

    def test_minutes_that_are_kept_are_kept_exactly(self):
        sheet = sheet_of(HOUR, [Change("new", "whisk", minutes=25)])
        assert minutes(sheet)["whisk"] == 25
        assert sum(minutes(sheet).values()) == 60

    def test_something_of_ones_own_has_its_place_and_its_minutes(self):
        changes = as_planned()
        changes.insert(3, Change("own", title="announcements", minutes=4))
        sheet = sheet_of(HOUR, changes)
        assert [timed.segment.title for timed in sheet.segments][3] == "announcements"
        assert minutes(sheet)["announcements"] == 4

    def test_what_the_plan_puts_in_later_stands_where_it_was_planned(self):
        before = as_planned(Evening(60, recap=True, routine=True, again=(Item("box", 4),)))
        before.reverse()
        known = [change.kind for change in before]
        order = [segment.kind for segment in changed(segments_of(HOUR), before)]
        assert order[order.index("review") + 1] == "new"
        assert [kind for kind in order if kind != "new"] == known

    def test_what_is_planned_no_longer_is_passed_over(self):
        gone = [Change("new", "fan", minutes=30), Change("carry", "fan")]
        assert kinds(changed(segments_of(HOUR), gone)) == kinds(segments_of(HOUR))

    def test_when_time_is_short_what_is_kept_goes_last(self):
        evening = Evening(20, recap=True, routine=True, new=(Item("whisk", 15),))
        sheet = sheet_of(evening, [Change("practice", minutes=6)])
        assert minutes(sheet)["Practice to music"] == 6
        assert "practice" not in kinds(sheet.left_out)
        assert kinds(sheet.left_out)[0] == "recap"

    def test_minutes_left_over_go_to_what_is_not_kept(self):
        sheet = sheet_of(Evening(60), [Change("practice", minutes=5)])
        assert minutes(sheet)["Practice to music"] == 5
        assert sheet.spare
        assert sum(minutes(sheet).values()) == 60

    @given(
        st.permutations(as_planned()),
        st.lists(st.one_of(st.none(), st.integers(1, 12)), min_size=8, max_size=8),
        st.lists(st.booleans(), min_size=8, max_size=8),
    )
    def test_whatever_is_changed_the_lesson_is_filled_to_the_minute(self, order, kept, out):
        changes = [
            Change(change.kind, change.figure, minutes=number, left_out=left)
            for change, number, left in zip(order, kept, out, strict=True)
        ]
        sheet = sheet_of(HOUR, changes)
        assert sum(timed.minutes for timed in sheet.segments) == 60
        shown = [timed.segment.kind for timed in sheet.segments]
        assert not {change.kind for change in changes if change.left_out} & set(shown)


class TestWhetherItFits:
    def test_too_short_says_how_many_minutes_would_fit(self):
        changes = as_planned()
        at = next(at for at, change in enumerate(changes) if change.kind == "new")
        changes[at] = Change("new", "whisk", minutes=45)
        said = try_out(HOUR, changes, frozenset({at})).wrong[at]
        assert "minutes too short for this" in said
        most = int(said.split("At most ")[1].split()[0])
        for tried, fits in ((most, True), (most + 1, False)):
            changes[at] = Change("new", "whisk", minutes=tried)
            assert (try_out(HOUR, changes, frozenset({at})).wrong == {}) is fits

    def test_too_long_says_what_would_fill_the_lesson(self):
        changes = [Change(one.kind, one.figure, minutes=2) for one in as_planned()]
        said = try_out(HOUR, changes, frozenset({0})).wrong[0]
        assert said.startswith("44 minutes of the lesson would stay empty")
        assert "Write 46 here" in said
        changes[0] = Change("arrive", minutes=46)
        assert try_out(HOUR, changes, frozenset({0})).wrong == {}

    def test_what_stood_before_is_not_refused(self):
        changes = [Change(one.kind, one.figure, minutes=2) for one in as_planned()]
        assert try_out(HOUR, changes).wrong == {}
