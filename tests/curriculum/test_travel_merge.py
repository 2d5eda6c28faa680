"""A curriculum file into a school that teaches already: known by name, nothing deleted, all or nothing."""

from dataclasses import replace

from curriculum.travel import values
from curriculum.travel.changes import compare
from curriculum.travel.naming import in_order, pair_by_name, pair_in_order
from curriculum.travel.values import Chart, Curriculum, Danced, Hold, Level, Passage, Rhythm, Step
from tests.curriculum.travelled import BOX, TURN, WALTZ, waltz


def merged(wanted, standing):
    """The one dance afterwards; the file has no mistake."""
    (dance,), changes = compare(wanted, standing)
    assert changes.mistakes == ()
    return dance


def figure_afterwards(wanted, standing, name):
    dance = merged(waltz(*wanted), waltz(*standing))
    return next(row.value for row in dance.figures if row.value.name == name)


def changed_fields(wanted, standing):
    """Column -> (before, after) of the one thing that changes."""
    _, changes = compare(wanted, standing)
    (thing,) = [thing for kind in changes.dances[0].kinds for thing in kind.changed]
    return {field.column: (field.before, field.after) for field in thing.fields}


EMPTY = Curriculum()


def mistakes(wanted, standing=EMPTY):
    return [str(mistake) for mistake in compare(wanted, standing)[1].mistakes]


class TestWhatIsTheSame:
    def test_names_are_one_whatever_their_case_and_spaces(self):
        assert pair_by_name([["Box  Step"]], [["other"], ["box step"]]) == {0: 1}

    def test_another_name_will_do_where_nothing_else_has_it(self):
        assert pair_by_name([["three"]], [["waltz turn", "three"]]) == {0: 0}
        assert pair_by_name([["three"], ["waltz turn"]], [["waltz turn", "three"]]) == {1: 0}

    def test_the_second_of_a_label_is_the_second_of_it(self):
        assert pair_in_order(["", "a", ""], ["", "", "a"]) == {0: 0, 1: 2, 2: 1}

    def test_new_ones_stand_behind_the_one_before_them(self):
        assert in_order(["a", "new", "b"], ["a", "x", "b"]) == ("a", "new", "x", "b")
        assert in_order(["new", "b"], ["a", "b"]) == ("a", "new", "b")
        assert in_order(["new", "newer"], ["a"]) == ("a", "new", "newer")


class TestOneFigure:
    def test_what_the_file_says_counts(self):
        after = figure_afterwards([replace(BOX, minutes_to_introduce=15)], [BOX], "box step")
        assert after.minutes_to_introduce == 15

    def test_what_is_empty_in_the_file_stays(self):
        here = replace(BOX, notes="Feet close.", lead="body first", extension=None, ticks=72)
        assert figure_afterwards([replace(BOX, ticks=None)], [here], "box step") == here

    def test_names_needs_faults_and_cautions_come_together(self):
        here = replace(BOX, other_names=("square",), faults=(("wide", "narrow"),), cautions=("toes",))
        asked = replace(
            BOX, other_names=("basic",), faults=(("wide", "smaller"), ("late", "listen")), cautions=("heels",)
        )
        after = figure_afterwards([asked], [here], "box step")
        assert after.other_names == ("square", "basic")
        assert after.faults == (("wide", "smaller"), ("late", "listen"))
        assert after.cautions == ("toes", "heels")

    def test_a_figure_known_by_another_name_is_called_as_in_the_file_and_keeps_its_own(self):
        here = replace(BOX, name="square", other_names=("box step",))
        after = figure_afterwards([BOX], [here, replace(TURN, needs=(("square", True),))], "box step")
        assert after.other_names == ("square",)
        dance = merged(waltz(BOX), waltz(here, replace(TURN, needs=(("square", True),))))
        turn = next(row for row in dance.figures if row.value.name == "natural turn")
        assert turn.value.needs == (("box step", True),)
        assert not turn.is_changed

    def test_a_chart_keeps_the_role_the_file_has_not(self):
        step, other = Step("1", 12, "step", "L"), Step("1", 12, "step", "R")
        here = replace(BOX, charts=(Chart("whole", leader=(step,), follower=(other,)),))
        asked = replace(BOX, charts=(Chart("whole", leader=(other, step)),))
        (chart,) = figure_afterwards([asked], [here], "box step").charts
        assert (chart.leader, chart.follower) == ((other, step), (other,))

    def test_charts_and_passages_are_known_by_their_label_and_others_are_added(self):
        here = replace(BOX, charts=(Chart("a"), Chart("b")), passages=(Passage("4 to 6", chart=1),))
        asked = replace(
            BOX,
            charts=(Chart("new"), Chart("b")),
            passages=(Passage("6 to 6", chart=0), Passage("4 to 6", chart=1)),
        )
        after = figure_afterwards([asked], [here], "box step")
        assert [chart.name for chart in after.charts] == ["a", "b", "new"]
        assert [(passage.label, passage.chart) for passage in after.passages] == [
            ("4 to 6", 1),
            ("6 to 6", 2),
        ]


class TestTheRest:
    def test_a_new_level_finds_its_rung(self):
        wanted = waltz(levels=(Level("Beginners", 1), Level("Middle"), Level("Improvers")))
        assert [row.value.name for row in merged(wanted, waltz()).levels] == [
            "Beginners",
            "Middle",
            "Improvers",
        ]

    def test_a_hold_is_known_by_its_key_too_and_free_changes_come_together(self):
        here = waltz(
            holds=(Hold("closed", "CL", 4, turns_into=("open",)), Hold("open", "OP"), Hold("far", "AP"))
        )
        asked = waltz(holds=(Hold("ballroom", "CL", 4, turns_into=("apart",)), Hold("apart", "AP")))
        holds = [row.value for row in merged(asked, here).holds]
        assert [(hold.name, hold.turns_into) for hold in holds] == [
            ("ballroom", ("apart", "open")),
            ("open", ()),
            ("apart", ()),
        ]

    def test_a_rhythm_s_counts_are_the_file_s(self):
        here = waltz(rhythms=(Rhythm("waltz", source="a book", counts=(("1", 12),)),))
        asked = waltz(rhythms=(Rhythm("Waltz", counts=(("1", 24),)), Rhythm("chasse", counts=(("1", 12),))))
        rhythms = [row.value for row in merged(asked, here).rhythms]
        assert [(row.name, row.source, row.counts) for row in rhythms] == [
            ("Waltz", "a book", (("1", 24),)),
            ("chasse", "", (("1", 12),)),
        ]

    def test_a_routine_dances_what_the_file_says_by_passages_as_they_stand_here(self):
        here = waltz(
            replace(BOX, passages=(Passage("x"), Passage("y"))),
            routines=(values.Routine("first", "Beginners", dances=(Danced("box step", 0),)),),
        )
        asked = waltz(
            replace(BOX, passages=(Passage("y"), Passage("z"))),
            routines=(
                values.Routine(
                    "first", "Beginners", dances=(Danced("box step", 0), None, Danced("box step", 1))
                ),
            ),
        )
        (routine,) = merged(asked, here).routines
        assert routine.value.dances == (Danced("box step", 1), None, Danced("box step", 2))

    def test_tempo_and_note_stay_where_the_file_has_none(self):
        here = waltz(slowest_bars_per_minute=28, quickest_bars_per_minute=30, note="swings")
        assert merged(waltz(), here).value == here.dances[0]


class TestWhatIsSaidOfIt:
    def test_only_the_lines_that_differ(self):
        here = replace(BOX, cautions=("toes", "elbows"))
        assert changed_fields(waltz(replace(BOX, cautions=("toes", "heels"))), waltz(here)) == {
            "cautions": ("", "heels")
        }

    def test_a_step_that_differs_is_said_as_a_person_would(self):
        step = Step("1", 6, "step", "L", "forward", turn=-2, cue="soft knee")
        here = waltz(replace(BOX, charts=(Chart("whole", leader=(step, step)),)))
        asked = waltz(replace(BOX, charts=(Chart("whole", leader=(step, replace(step, foot="R"))),)))
        assert changed_fields(asked, here) == {
            "chart 1": (
                "leader 2: 1 for 0.5 beat, L step forward turn -2 “soft knee”",
                "leader 2: 1 for 0.5 beat, R step forward turn -2 “soft knee”",
            )
        }

    def test_new_same_and_left_alone_are_counted(self):
        _, changes = compare(waltz(BOX, replace(TURN, needs=())), waltz(BOX, replace(BOX, name="whisk")))
        figures = next(kind for kind in changes.dances[0].kinds if kind.kind == "figures")
        assert (figures.new, figures.same, figures.absent) == (("natural turn",), 1, 1)


class TestMistakes:
    def test_a_circle_is_spelled_out(self):
        here = waltz(BOX, TURN)
        assert mistakes(waltz(replace(BOX, level="Improvers", needs=(("natural turn", False),))), here) == [
            "waltz, figure “natural turn”, needs: natural turn needs box step, which needs natural turn"
        ]

    def test_a_figure_needs_nothing_from_a_higher_level(self):
        asked = waltz(replace(BOX, needs=(("natural turn", False),)), replace(TURN, needs=()))
        assert mistakes(asked) == [
            "waltz, figure “box step”, needs: “natural turn” is on Improvers, a higher level than Beginners "
            "where “box step” is"
        ]

    def test_what_is_not_there_is_named_with_what_may_be_meant(self):
        asked = waltz(
            replace(BOX, needs=(("natural torn", False),), passages=(Passage(entry_hold="clsed"),)),
            replace(TURN, level="Improver"),
            holds=(Hold("closed", "CL"),),
            routines=(
                values.Routine("r", "Beginners", continues=("Beginners", "q"), dances=(Danced("turn", 0),)),
            ),
        )
        assert mistakes(asked) == [
            "waltz, figure “box step”, needs: there is no figure “natural torn” in waltz; "
            "did you mean “natural turn”?",
            "waltz, figure “box step”, passage 1, from: there is no hold “clsed” in waltz; "
            "did you mean “closed”?",
            "waltz, figure “natural turn”, level: there is no level “Improver” in waltz; "
            "did you mean “Improvers”?",
            "waltz, routine “r”, place 1: there is no figure “turn” in waltz; did you mean “natural turn”?",
            "waltz, routine “r”, continues: there is no routine “q” on Beginners",
        ]

    def test_one_name_for_two_figures(self):
        asked = waltz(replace(BOX, other_names=("natural turn",)), replace(TURN, needs=()))
        assert mistakes(asked) == [
            "waltz, figure “box step”, other_names: “natural turn” is a name of “natural turn”"
        ]

    def test_a_thing_that_stands_twice_in_the_file(self):
        assert mistakes(waltz(BOX, replace(BOX, name="BOX step"))) == [
            "waltz, figures: “BOX step” stands in the file twice"
        ]
        assert mistakes(Curriculum((WALTZ, replace(WALTZ, name="Waltz")))) == [
            "Waltz: this dance stands in the file twice"
        ]

    def test_a_ladder_the_other_way_round(self):
        asked = waltz(levels=(Level("Improvers"), Level("Beginners")))
        assert mistakes(asked, waltz()) == [
            "waltz, levels: “Improvers” comes before “Beginners” in the file and after it here"
        ]

    def test_a_routine_by_a_passage_that_the_figure_has_not(self):
        routine = values.Routine("r", "Beginners", dances=(Danced("box step", 2),))
        assert mistakes(waltz(replace(BOX, passages=(Passage(),)), routines=(routine,))) == [
            "waltz, routine “r”, place 1, passage: “box step” has 1 passages, so there is no such one"
        ]

    def test_routines_that_go_on_from_each_other_in_a_circle(self):
        routines = (
            values.Routine("a", "Beginners", continues=("Beginners", "b")),
            values.Routine("b", "Beginners", continues=("Beginners", "a")),
        )
        assert "in a circle" in mistakes(waltz(routines=routines))[0]

    def test_a_hold_s_key_that_another_hold_has(self):
        here = waltz(holds=(Hold("closed", "CL"),))
        asked = waltz(holds=(Hold("closed", "CX"), Hold("close", "CL")))
        assert mistakes(asked, here) == ["waltz, hold “close”, key: another hold has the key “CL”"]

    def test_a_tempo_range_that_would_be_the_wrong_way_round(self):
        here = waltz(slowest_bars_per_minute=28, quickest_bars_per_minute=30)
        assert mistakes(waltz(slowest_bars_per_minute=31), here) == [
            "waltz, quickest_bars_per_minute: 30 is slower than the slowest, 31"
        ]
