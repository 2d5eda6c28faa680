"""A file against a dance as it stands: what would be new, what changes, and every mistake at its cell."""

from curriculum.spreadsheet.columns import COLUMNS
from curriculum.spreadsheet.compare import compare
from curriculum.spreadsheet.placing import orders_afterwards
from curriculum.spreadsheet.reader import read_sheet
from curriculum.spreadsheet.values import FieldChange, Sheet, SheetRow, Standing, StandingFigure
from curriculum.spreadsheet.writer import csv_bytes, xlsx_bytes

HOLDS = {"closed": "CL", "two-hand": "2H", "fan": "FN"}
BASIC = StandingFigure(
    "basic movement", "Beginners", ("basic",), 96, 14, 4, (("closed", "closed"),), (), "Calm hips."
)
FAN = StandingFigure("fan", "Improvers", (), 48, 18, 5, (("closed", "fan"),), ("basic movement",))
ALEMANA = StandingFigure("alemana", "Improvers", (), 96, 20, 6, (("fan", "closed"),), ("fan",))
CHA_CHA = Standing("cha-cha", ("Beginners", "Improvers"), HOLDS, (BASIC, FAN, ALEMANA))
EMPTY = Standing("cha-cha", (), HOLDS, ())


def row(figure, level="Beginners", number=2, **cells):
    named = {"beats": "4", "minutes to introduce": "10", "minutes to review": "3"}
    named |= {"level": level, "figure": figure}
    named |= {name.replace("_", " "): text for name, text in cells.items()}
    return SheetRow(number, {column: named.get(column, "") for column in COLUMNS})


def sheet(*rows):
    """Rows numbered from 2 on."""
    return Sheet(tuple(SheetRow(number, row.cells) for number, row in enumerate(rows, start=2)))


def as_it_stands(standing=CHA_CHA):
    return list(read_sheet(csv_bytes(standing)).rows)


def with_cells(old, **cells):
    return SheetRow(old.number, old.cells | {name.replace("_", " "): text for name, text in cells.items()})


def mistakes(*rows, standing=CHA_CHA):
    return [str(error) for error in compare(sheet(*rows), standing).errors]


class TestWhatChanges:
    def test_a_file_that_says_what_stands_changes_nothing(self):
        for data in (csv_bytes(CHA_CHA), xlsx_bytes(CHA_CHA)):
            changes = compare(read_sheet(data), CHA_CHA)
            assert changes.nothing
            assert changes.unchanged == ("basic movement", "fan", "alemana")

    def test_a_figure_that_is_not_there_yet_is_new(self):
        changes = compare(
            sheet(row("New York", needs="basic", hold_at_start="2H", hold_at_end="two-hand")), CHA_CHA
        )
        (new,) = changes.new
        assert (new.name, new.ticks, new.needs) == ("New York", 48, ("basic movement",))
        assert new.ways == (("two-hand", "two-hand"),)
        assert not changes.errors

    def test_figures_the_file_does_not_name_stay(self):
        assert compare(sheet(row("New York")), CHA_CHA).absent == ("basic movement", "fan", "alemana")

    def test_a_change_says_what_was_and_what_will_be(self):
        rows = as_it_stands()
        rows[1] = with_cells(rows[1], minutes_to_introduce="22", beats="4.5")
        changes = compare(Sheet(tuple(rows)), CHA_CHA)
        (change,) = changes.changed
        assert change.wanted.name == "fan"
        assert change.fields == (
            FieldChange("beats", "4", "4.5"),
            FieldChange("minutes to introduce", "18", "22"),
        )

    def test_names_are_the_same_whatever_their_case_but_spelling_is_a_change(self):
        rows = as_it_stands()
        rows[1] = with_cells(rows[1], figure="Fan")
        (change,) = compare(Sheet(tuple(rows)), CHA_CHA).changed
        assert change.fields == (FieldChange("figure", "fan", "Fan"),)

    def test_a_row_under_another_name_of_a_figure_gives_it_a_new_main_name(self):
        (change,) = compare(sheet(row("basic", other_names="basic movement")), CHA_CHA).changed
        assert change.wanted.stands == "basic movement"
        assert FieldChange("figure", "basic movement", "basic") in change.fields

    def test_renaming_a_figure_does_not_change_what_needs_it(self):
        rows = as_it_stands()
        rows[0] = with_cells(rows[0], figure="basic", other_names="basic movement")
        rows[1] = with_cells(rows[1], needs="basic")
        changes = compare(Sheet(tuple(rows)), CHA_CHA)
        assert [change.wanted.name for change in changes.changed] == ["basic"]
        assert not changes.errors

    def test_the_order_of_names_and_needs_does_not_matter(self):
        standing = Standing(
            "cha-cha",
            ("Beginners",),
            HOLDS,
            (
                StandingFigure("a", "Beginners", ("x", "y"), 48, 10, 3),
                StandingFigure("b", "Beginners", (), 48, 10, 3),
                StandingFigure("c", "Beginners", (), 48, 10, 3, (), ("a", "b")),
            ),
        )
        assert compare(sheet(row("a", other_names="y; x"), row("b"), row("c", needs="b;a")), standing).nothing

    def test_no_beats_means_a_technique(self):
        (new,) = compare(sheet(row("frame", beats="")), CHA_CHA).new
        assert new.ticks is None

    def test_several_ways_in_and_out(self):
        changes = compare(
            sheet(row("opening", hold_at_start="closed", hold_at_end="closed; fan; any")), CHA_CHA
        )
        assert changes.new[0].ways == (("closed", "closed"), ("closed", "fan"), ("closed", None))

    def test_a_new_level_comes_on_top_in_the_order_of_the_file(self):
        changes = compare(sheet(row("aida", level="Gold"), row("chase", level="Silver")), CHA_CHA)
        assert changes.new_levels == ("Gold", "Silver")
        assert not changes.errors

    def test_a_new_level_that_looks_like_a_slip_is_said(self):
        (remark,) = compare(sheet(row("New York", level="Beginers")), CHA_CHA).remarks
        assert remark.startswith("“Beginers” (row 2) will be a new level. If you meant “Beginners”")

    def test_a_new_name_a_slip_away_from_a_standing_one_is_pointed_out(self):
        changes = compare(sheet(row("alemanna"), row("basik movement"), row("bassic")), CHA_CHA)
        assert [(near.row, near.name, near.stands) for near in changes.near] == [
            (2, "alemanna", "alemana"),
            (3, "basik movement", "basic movement"),
            (4, "bassic", "basic movement"),
        ]
        assert len(changes.new) == 3

    def test_names_that_differ_in_a_word_that_matters_are_two_figures(self):
        standing = Standing("swing", ("Beginners",), HOLDS, (
            StandingFigure("left side pass", "Beginners"), StandingFigure("inside turn", "Beginners"),
            StandingFigure("forward lock", "Beginners"), StandingFigure("basic 1", "Beginners"),
        ))  # fmt: skip
        others = ("right side pass", "outside turn", "backward lock", "basic 2", "whip", "side pass")
        assert compare(sheet(*map(row, others)), standing).near == ()

    def test_what_would_be_written_is_said_in_words(self):
        changed = with_cells(as_it_stands()[0], notes="Softer.")
        assert compare(sheet(row("whip"), changed), CHA_CHA).in_words == "1 new figure and 1 change"
        assert compare(sheet(row("whip"), row("tuck")), CHA_CHA).in_words == "2 new figures"

    def test_the_same_changes_have_the_same_fingerprint(self):
        one, two = (
            compare(sheet(row("New York", needs="fan; basic", level="Improvers")), CHA_CHA) for _ in "12"
        )
        other = compare(sheet(row("New York", needs="fan", level="Improvers")), CHA_CHA)
        assert one.fingerprint() == two.fingerprint() != other.fingerprint()


class TestMistakes:
    def test_an_unknown_need_with_what_was_meant(self):
        assert mistakes(row("hockey stick", "Improvers", needs="open fan")) == [
            "row 2, needs: there is no figure “open fan” in cha-cha; did you mean “fan”?"
        ]

    def test_an_unknown_hold_with_what_was_meant(self):
        assert mistakes(row("New York", hold_at_start="twohand", hold_at_end="closed")) == [
            "row 2, hold at start: there is no hold “twohand” in cha-cha; did you mean “two-hand”?"
        ]

    def test_a_mistake_of_several_rows_is_one_mistake(self):
        rows = [row(name, hold_at_start="promenade", hold_at_end="closed") for name in ("whisk", "wing")]
        changes = compare(sheet(*rows, row("twist", minutes_to_review="x")), CHA_CHA)
        assert [(mistake.rows, mistake.column) for mistake in changes.mistakes] == [
            ((2, 3), "hold at start"),
            ((4,), "minutes to review"),
        ]
        assert changes.missing_holds == ("promenade",)

    def test_every_mistake_is_said_in_the_order_of_the_file(self):
        found = mistakes(
            row("New York", minutes_to_introduce="", beats="4.3"),
            row("", needs="fan"),
            row("chase", level=""),
        )
        assert [said.split(":")[0] for said in found] == [
            "row 2, beats",
            "row 2, minutes to introduce",
            "row 3, figure",
            "row 4, level",
        ]

    def test_a_row_with_a_mistake_causes_no_further_ones(self):
        assert mistakes(row("New York", beats="x"), row("spot turn", needs="New York")) == [
            "row 2, beats: “x” is not a number of beats; write it like 6, 4.5 or 1 1/3"
        ]

    def test_a_row_with_a_mistake_is_not_among_the_changes(self):
        assert compare(sheet(row("New York", beats="x")), CHA_CHA).new == ()

    def test_a_figure_that_stands_in_the_file_twice(self):
        assert mistakes(row("New York"), row("new  york")) == [
            "row 3, figure: “new york” stands already in row 2"
        ]

    def test_a_name_two_figures_of_the_file_share(self):
        assert mistakes(row("New York", other_names="crossover"), row("crossover")) == [
            "row 2, other names: “crossover” is already a name of “crossover”, in row 3"
        ]

    def test_a_name_of_a_figure_that_is_not_in_the_file(self):
        assert mistakes(row("New York", other_names="basic")) == [
            "row 2, other names: “basic” is already a name of “basic movement”, which is not in the file"
        ]

    def test_a_circle_is_spelled_out(self):
        rows = as_it_stands()
        rows[1] = with_cells(rows[1], needs="alemana")
        assert [str(error) for error in compare(Sheet(tuple(rows)), CHA_CHA).errors] == [
            "row 3, needs: fan needs alemana, which needs fan"
        ]

    def test_a_circle_through_a_figure_the_file_does_not_name(self):
        assert mistakes(row("fan", "Improvers", needs="alemana", beats="4")) == [
            "row 2, needs: fan needs alemana, which needs fan"
        ]

    def test_two_circles_are_both_said(self):
        found = mistakes(row("a", needs="b"), row("b", needs="a"), row("c", needs="d"), row("d", needs="c"))
        assert found == ["row 2, needs: a needs b, which needs a", "row 4, needs: c needs d, which needs c"]

    def test_a_figure_that_needs_itself(self):
        assert mistakes(row("New York", needs="new york")) == ["row 2, needs: New York needs itself"]

    def test_a_need_from_a_higher_level(self):
        assert mistakes(row("New York", needs="fan")) == [
            "row 2, needs: “fan” is on Improvers, a higher level than Beginners where “New York” is"
        ]

    def test_a_figure_that_goes_up_above_one_that_needs_it(self):
        found = mistakes(row("basic movement", level="Gold", other_names="basic", beats="8"))
        assert "row 2, level: “fan” on Improvers needs “basic movement”, which would go up to Gold" in found

    def test_one_end_without_the_other(self):
        assert mistakes(row("New York", hold_at_start="closed")) == [
            "row 2, hold at end: the hold is missing; write “any” where it may be any"
        ]

    def test_holds_that_do_not_pair(self):
        found = mistakes(row("New York", hold_at_start="closed; fan; any", hold_at_end="closed; fan"))
        assert found == [
            "row 2, hold at end: 2 holds here but 3 at the start; name one for each way in and out"
        ]

    def test_holds_without_beats(self):
        (said,) = mistakes(row("frame", beats="", hold_at_start="closed", hold_at_end="closed"))
        assert said.startswith("row 2, beats: the beats are missing; only a technique has none")

    def test_a_name_with_a_semicolon(self):
        assert mistakes(row("New York; crossover"))[0].startswith(
            "row 2, figure: a name cannot have a semicolon"
        )

    def test_a_way_that_a_routine_dances_does_not_go(self):
        danced = StandingFigure(
            "fan",
            "Improvers",
            (),
            48,
            18,
            5,
            (("closed", "fan"),),
            (),
            "",
            {("closed", "fan"): ("the routine",)},
        )
        standing = Standing("cha-cha", ("Improvers",), HOLDS, (danced,))
        assert mistakes(row("fan", "Improvers"), standing=standing) == [
            "row 2, hold at start: the way closed to fan of “fan” is danced in “the routine”; "
            "take it out of there first"
        ]


class TestWhereNewFiguresStand:
    def test_in_an_empty_dance_as_in_the_file(self):
        changes = compare(sheet(row("c"), row("a"), row("b", level="Gold")), EMPTY)
        assert orders_afterwards(changes, EMPTY) == {"Beginners": ("c", "a"), "Gold": ("b",)}

    def test_behind_the_figure_of_the_row_before(self):
        rows = as_it_stands()
        rows.insert(2, SheetRow(4, row("hockey stick", "Improvers").cells))
        changes = compare(sheet(*rows), CHA_CHA)
        assert orders_afterwards(changes, CHA_CHA) == {"Improvers": ("fan", "hockey stick", "alemana")}

    def test_last_where_the_file_speaks_of_no_other_figure_of_the_level(self):
        changes = compare(sheet(row("New York")), CHA_CHA)
        assert orders_afterwards(changes, CHA_CHA) == {"Beginners": ("basic movement", "New York")}

    def test_a_figure_that_changes_its_level_leaves_the_old_one(self):
        rows = as_it_stands()
        rows[2] = with_cells(rows[2], level="Gold")
        changes = compare(Sheet(tuple(rows)), CHA_CHA)
        assert orders_afterwards(changes, CHA_CHA) == {"Gold": ("alemana",)}
