"""A routine's strip: what is danced when, how each join is, what is not taught, and the same as a list."""

from fractions import Fraction

import pytest
from django.urls import reverse

from curriculum.models import HoldChange
from curriculum.strip import routine_strip
from tests.factories import (
    CourseFactory,
    FigureFactory,
    LevelFactory,
    PassageFactory,
    RoutineFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def dances(level, closed):
    """Makes a passage: `dances("whisk", bars=1, entry="L", exit="R")`, in closed hold unless said."""

    def make(name, *, bars=1, on=None, **stances):
        fields = {"entry_hold": closed, "exit_hold": closed} | stances
        return PassageFactory(figure=FigureFactory(level=on or level, name=name, ticks=bars * 36), **fields)

    return make


def page_of(client, routine):
    page = client.get(reverse("curriculum:routine", args=[routine.pk]))
    assert page.status_code == 200
    return page.content.decode()


class TestTheStrip:
    def test_beats_bars_and_phrases_are_counted(self, level, dances):
        strip = routine_strip(
            RoutineFactory(level=level, dances=[dances("box step", bars=2), dances("whisk")])
        )
        assert (strip.beats, strip.bars, strip.phrases) == (9, 3, Fraction(3, 8))
        assert strip.length == "9 beats, 3 bars"
        assert [(block.number, block.name, block.start, block.beats) for block in strip.blocks] == [
            (1, "box step", 0, 6),
            (2, "whisk", 6, 3),
        ]

    def test_each_join_has_its_mark_and_word(self, level, closed, promenade, dances):
        HoldChange.objects.create(hold=closed, into=promenade)
        routine = RoutineFactory(
            level=level,
            dances=[
                dances("one", exit_foot="L", exit_place=1, give=1),
                dances("two", entry_foot="L", entry_place=1),
                dances("three", entry_hold=promenade),
                dances("four", entry_foot="L", exit_foot="L"),
                dances("five", entry_foot="R"),
            ],
        )
        assert [(block.join.mark, block.join.word) for block in routine_strip(routine).blocks[1:]] == [
            ("flows", "flows"),
            ("change", "change hands first"),
            ("flows", "flows"),
            ("broken", "doesn’t connect"),
        ]

    def test_a_figure_turned_a_little_more_flows_and_says_so(self, level, dances):
        routine = RoutineFactory(
            level=level, dances=[dances("one", exit_place=1, give=1), dances("two", entry_place=2)]
        )
        join = routine_strip(routine).blocks[1].join
        assert (join.mark, join.word) == ("give", "flows, turned a little more or less")
        assert join.reason == "End one facing W instead of DW, an eighth further to the right."

    def test_a_broken_join_says_why(self, level, dances):
        routine = RoutineFactory(
            level=level, dances=[dances("one", exit_foot="L"), dances("two", entry_foot="R")]
        )
        strip = routine_strip(routine)
        assert strip.broken == 1
        assert "One leaves you with the leader's left foot free" in strip.blocks[1].join.said

    def test_what_is_not_taught_stands_out_and_ends_what_can_be_danced(self, level, dances):
        routine = RoutineFactory(level=level, dances=[dances("one"), dances("two"), dances("three")])
        strip = routine_strip(routine, taught=frozenset({"one", "three"}))
        assert strip.untaught == ("two",)
        assert [block.is_taught for block in strip.blocks] == [True, False, True]
        assert (strip.danceable, strip.last_danceable.name) == (1, "one")

    def test_a_corner_takes_no_time(self, level, dances):
        routine = RoutineFactory(level=level, dances=[dances("one"), None, dances("two")])
        strip = routine_strip(routine)
        assert [(block.name, block.after_corner, block.start) for block in strip.blocks] == [
            ("one", False, 0),
            ("two", True, 3),
        ]
        assert strip.danceable == 2


class TestThePicture:
    def test_blocks_are_as_long_as_their_beats(self, level, dances):
        strip = routine_strip(RoutineFactory(level=level, dances=[dances("one"), dances("two", bars=2)]))
        one, two = strip.wide.lines[0].pieces
        assert two.width == pytest.approx(2 * one.width)
        assert two.x == pytest.approx(one.x + one.width)

    def test_a_line_is_a_phrase_on_a_wide_page_and_half_of_one_on_a_phone(self, level, dances):
        strip = routine_strip(RoutineFactory(level=level, dances=[dances("long", bars=8), dances("short")]))
        assert [len(line.pieces) for line in strip.wide.lines] == [1, 1]
        assert [len(line.pieces) for line in strip.narrow.lines] == [1, 1, 1]

    def test_a_block_over_the_end_of_a_line_is_cut_and_goes_on_in_the_next(self, level, dances):
        strip = routine_strip(
            RoutineFactory(level=level, dances=[dances("seven", bars=7), dances("two", bars=2)])
        )
        first, second = (line.pieces[-1] for line in strip.wide.lines)
        assert (first.begins, first.ends) == (True, False)
        assert (second.begins, second.ends) == (False, True)
        assert first.number == second.number == 2
        assert first.width == pytest.approx(second.width)

    def test_the_ruler_marks_bars_and_phrases(self, level, dances):
        strip = routine_strip(RoutineFactory(level=level, dances=[dances("ten", bars=10)]))
        kinds = [[tick.kind for tick in line.ticks if tick.kind != "beat"] for line in strip.wide.lines]
        assert kinds == [["phrase", *["bar"] * 7, "phrase"], ["phrase", "bar", "bar"]]
        assert [tick.label for tick in strip.wide.lines[1].ticks if tick.label] == ["9", "10"]

    def test_a_long_name_is_wrapped_and_never_wider_than_its_block(self, level, dances):
        strip = routine_strip(RoutineFactory(level=level, dances=[dances("progressive chasse to the right")]))
        rows = [text for _, text in strip.narrow.lines[0].pieces[0].rows]
        assert len(rows) <= 3
        assert all(len(row) <= 8 for row in rows)

    def test_words_under_marks_do_not_run_into_each_other(self, level, dances):
        ways = [dances(f"figure {place}", entry_foot="L", exit_foot="R") for place in range(4)]
        (line,) = routine_strip(RoutineFactory(level=level, dances=ways)).wide.lines
        assert [mark.kind for mark in line.marks] == ["broken", "broken", "broken"]
        assert [bool(mark.word) for mark in line.marks] == [True, False, True]

    def test_a_phone_s_picture_leaves_the_words_to_the_list(self, level, dances):
        ways = [dances("one", exit_foot="R"), dances("two", entry_foot="L")]
        (line,) = routine_strip(RoutineFactory(level=level, dances=ways)).narrow.lines
        assert [(mark.kind, mark.word) for mark in line.marks] == [("broken", "")]

    def test_a_figure_without_length_is_still_in_the_list(self, level, closed):
        figure = FigureFactory(level=level, name="pause", ticks=None)
        strip = routine_strip(RoutineFactory(level=level, dances=[PassageFactory(figure=figure)]))
        assert [block.name for block in strip.blocks] == ["pause"]
        assert len(strip.wide.lines) == 1

    def test_a_fraction_of_a_bar_still_has_a_line(self, level, closed):
        figure = FigureFactory(level=level, name="short", ticks=18)
        routine = RoutineFactory(level=level, dances=[PassageFactory(figure=figure)])
        (line,) = routine_strip(routine).wide.lines
        assert len([tick for tick in line.ticks if tick.kind != "beat"]) == 2


class TestThePage:
    def test_how_far_it_can_be_danced_says_in_which_course(self, as_director, level, dances, settings):
        settings.TODAY = "2026-01-20"
        routine = RoutineFactory(level=level, dances=[dances("one", exit_foot="L")])
        course = CourseFactory(routine=routine, dance=level.dance, name="Waltz on Thursday")
        course.levels.add(level)
        assert "None of it can be danced yet in Waltz on Thursday." in page_of(as_director, routine)

    def test_the_list_says_what_the_picture_shows(self, as_director, level, dances):
        routine = RoutineFactory(
            level=level, dances=[dances("one", exit_foot="L"), None, dances("two", entry_foot="R", bars=2)]
        )
        text = page_of(as_director, routine)
        assert '<div class="strip" aria-hidden="true">' in text
        assert "9 beats, 3 bars" in text
        assert "1 join doesn’t connect." in text
        assert "We can dance as far as one (1 of 2)." in text
        assert "round the corner of the room" in text
        assert 'doesn’t connect. <span class="reason">One leaves you with the leader' in text
        assert "The routine is 3 bars long, less than a phrase of 8." in text

    def test_a_routine_that_holds_together(self, as_director, level, dances):
        text = page_of(
            as_director, RoutineFactory(level=level, dances=[dances("one", bars=8), dances("two", bars=8)])
        )
        assert "The figures connect from first to last." in text
        assert "Not taught yet" not in text

    def test_a_figure_of_a_higher_level_is_not_taught(self, as_director, waltz, level, dances):
        higher = LevelFactory(dance=waltz, rank=2)
        text = page_of(
            as_director, RoutineFactory(level=level, dances=[dances("one"), dances("wing", on=higher)])
        )
        assert "Not taught yet: wing." in text
        assert '<span class="tag warn">not taught yet</span>' in text

    def test_where_it_starts_and_ends(self, as_director, level, promenade, dances):
        routine = RoutineFactory(
            level=level,
            dances=[dances("one", entry_foot="L", entry_place=1), dances("two", exit_hold=promenade)],
        )
        text = page_of(as_director, routine)
        assert "closed; the leader’s left foot is free; the leader faces diagonal to wall" in text
        assert "promenade; either foot is free; the leader faces diagonal to wall" in text

    @pytest.mark.parametrize(("foot", "said"), [("R", "flows"), ("L", "doesn’t connect")])
    def test_whether_it_goes_on_from_the_routine_below(self, as_director, waltz, level, dances, foot, said):
        below = RoutineFactory(level=level, name="the first", dances=[dances("one", exit_foot="R")])
        upper = LevelFactory(dance=waltz, rank=2)
        routine = RoutineFactory(
            level=upper, name="the second", continues=below, dances=[dances("two", on=upper, entry_foot=foot)]
        )
        page = as_director.get(reverse("curriculum:routine", args=[routine.pk]))
        assert "which ends: closed; the leader’s right foot is free" in page.content.decode()
        assert page.context["page"].below.join.word == said
        assert page.context["page"].below.join.said in page.content.decode().replace("&#x27;", "'")

    def test_an_empty_routine_says_so(self, as_director, level):
        assert "No figure stands in this routine yet." in page_of(as_director, RoutineFactory(level=level))

    @pytest.mark.parametrize("number", [2, 24])
    def test_it_costs_the_same_for_any_number_of_figures(
        self, as_director, waltz, level, dances, number, django_assert_num_queries
    ):
        below = RoutineFactory(
            level=level, name="below", dances=[dances(f"b{place}") for place in range(number)]
        )
        routine = RoutineFactory(
            level=level,
            name="upper",
            continues=below,
            dances=[dances(f"f{place}") for place in range(number)],
        )
        with django_assert_num_queries(15):
            page_of(as_director, routine)
