"""A curriculum that goes out and comes into an empty school is the same, byte for byte when it goes out."""

import json
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from curriculum import models
from curriculum.travel import values
from curriculum.travel.apply import take_in
from curriculum.travel.changes import compare
from curriculum.travel.collect import curriculum_of
from curriculum.travel.reading import read_file
from curriculum.travel.writing import write_file
from lessons.demo.dance_rows import load_dance
from lessons.demo.load import DANCES
from tests.factories import FigureFactory, LevelFactory, PassageFactory, RoutineFactory


def taken_out(**only):
    return write_file(curriculum_of(models.Dance.objects.filter(**only)))


def taken_in(data):
    wanted, mistakes = read_file(data)
    _, changes = compare(wanted, curriculum_of(models.Dance.objects.all()), mistakes)
    assert changes.mistakes == ()
    return take_in(data=data, fingerprint=changes.fingerprint())


def empty_the_school():
    models.RoutineItem.objects.all().delete()
    models.Figure.objects.all().delete()
    models.Dance.objects.all().delete()


@pytest.mark.django_db
class TestTheDemoSchool:
    def test_it_comes_back_byte_for_byte(self):
        for file_name in DANCES:
            load_dance(file_name)
        before = taken_out()
        empty_the_school()
        taken_in(before)
        assert taken_out() == before

    def test_one_dance_travels_alone(self):
        for file_name in DANCES:
            load_dance(file_name)
        waltz = taken_out(name="waltz")
        empty_the_school()
        taken_in(waltz)
        assert list(models.Dance.objects.values_list("name", flat=True)) == ["waltz"]
        assert taken_out() == waltz

    def test_taken_in_where_it_came_from_it_changes_nothing(self):
        load_dance("waltz")
        wanted, mistakes = read_file(taken_out())
        _, changes = compare(wanted, curriculum_of(models.Dance.objects.all()), mistakes)
        assert changes.nothing

    def test_everything_is_in_it(self):
        """Counted against the tables, so that nothing that hangs on a dance can be forgotten."""
        load_dance("waltz")
        (dance,) = json.loads(taken_out())["dances"]
        figures = dance["figures"]
        charts = [chart for figure in figures for chart in figure.get("charts", [])]
        counted = {
            models.Level: len(dance["levels"]),
            models.Hold: len(dance["holds"]),
            models.HoldChange: sum(len(hold.get("turns_into", [])) for hold in dance["holds"]),
            models.Rhythm: len(dance["rhythms"]),
            models.RhythmCount: sum(len(rhythm["counts"]) for rhythm in dance["rhythms"]),
            models.Figure: len(figures),
            models.FigureName: sum(1 + len(figure.get("other_names", [])) for figure in figures),
            models.Prerequisite: sum(
                len(figure.get("needs", [])) + len(figure.get("needs_by_the_same_evening", []))
                for figure in figures
            ),
            models.Fault: sum(len(figure.get("faults", [])) for figure in figures),
            models.Caution: sum(len(figure.get("cautions", [])) for figure in figures),
            models.StepChart: len(charts),
            models.ChartStep: sum(len(chart["leader"]) + len(chart["follower"]) for chart in charts),
            models.Passage: sum(len(figure.get("passages", [])) for figure in figures),
            models.Routine: len(dance["routines"]),
            models.RoutineItem: sum(len(routine["dances"]) for routine in dance["routines"]),
        }
        assert counted == {model: model.objects.count() for model in counted}
        assert all(counted.values())


@pytest.mark.django_db
class TestOrder:
    def test_figures_stand_in_teaching_order_and_levels_from_the_lowest_up(self):
        second = LevelFactory(rank=5, name="Second")
        first = LevelFactory(dance=second.dance, rank=2, name="First")
        FigureFactory(level=second, name="c", order=1)
        FigureFactory(level=first, name="b", order=20)
        FigureFactory(level=first, name="a", order=10)
        before = taken_out()
        (dance,) = json.loads(before)["dances"]
        assert [level["name"] for level in dance["levels"]] == ["First", "Second"]
        assert [figure["name"] for figure in dance["figures"]] == ["a", "b", "c"]
        empty_the_school()
        taken_in(before)
        assert taken_out() == before

    def test_a_routine_dances_the_passage_it_danced(self):
        figure = FigureFactory(name="whisk")
        ways = [
            PassageFactory(figure=figure, label=label, position=place) for place, label in ((3, ""), (7, ""))
        ]
        RoutineFactory(level=figure.level, dances=[ways[1], None, ways[0]])
        before = taken_out()
        empty_the_school()
        taken_in(before)
        assert taken_out() == before
        items = models.RoutineItem.objects.order_by("position")
        assert [item.passage and item.passage.position for item in items] == [1, None, 0]


# Names are made different by a number, so that what is tested is the file and not the rule of names.
WORDS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=30)
HOLDS = ["closed", "open", "ouvert à côté"]
HOLD = st.none() | st.sampled_from(HOLDS)
FOOT = st.sampled_from(["", "L", "R"])
PLACE = st.none() | st.integers(0, 7)
STEPS = st.lists(
    st.builds(
        values.Step,
        count=st.sampled_from(["1", "2", "&", "a", "S", "Q"]),
        ticks=st.integers(1, 48),
        action=st.sampled_from(["step", "close", "touch", "hold"]),
        foot=FOOT,
        direction=st.sampled_from(["", "forward", "side, small"]),
        turn=st.integers(-8, 8),
        hold=HOLD,
        cue=WORDS,
    ),
    max_size=4,
).map(tuple)
CHARTS = st.lists(
    st.builds(values.Chart, name=WORDS, note=WORDS, leader=STEPS, follower=STEPS), max_size=2
).map(tuple)


@st.composite
def passages(draw, charts):
    chart = st.none() | st.integers(0, len(charts) - 1) if charts else st.none()
    way = st.builds(
        values.Passage,
        label=WORDS,
        ticks=st.none() | st.integers(1, 99),
        entry_hold=HOLD,
        entry_foot=FOOT,
        entry_place=PLACE,
        exit_hold=HOLD,
        exit_foot=FOOT,
        exit_place=PLACE,
        give=st.integers(0, 4),
        chart=chart,
    )
    return tuple(draw(st.lists(way, min_size=1, max_size=3)))


@st.composite
def figures(draw, number, level, earlier):
    charts = draw(CHARTS)
    needs = draw(st.sets(st.sampled_from(earlier), max_size=2)) if earlier else set()
    other = st.none() | st.sampled_from(earlier) if earlier else st.none()
    return values.Figure(
        name=f"{number} {draw(WORDS)}".strip(),
        level=level,
        minutes_to_introduce=draw(st.integers(1, 60)),
        kind=draw(st.sampled_from(["figure", "technique"])),
        ticks=draw(st.none() | st.integers(1, 200)),
        minutes_to_review=draw(st.integers(0, 9)),
        in_a_row=draw(st.integers(1, 4)),
        lead=draw(WORDS),
        response=draw(WORDS),
        notes=draw(WORDS),
        other_names=tuple(f"other {number}.{place}" for place in range(draw(st.integers(0, 2)))),
        needs=tuple(sorted((name, draw(st.booleans())) for name in needs)),
        extension=draw(other),
        easier_form=draw(other),
        open_form=draw(other),
        faults=tuple(draw(st.lists(st.tuples(WORDS.filter(bool), WORDS.filter(bool)), max_size=2))),
        cautions=tuple(draw(st.lists(WORDS.filter(bool), max_size=2))),
        charts=charts,
        passages=draw(passages(charts)),
    )


@st.composite
def dances(draw, name="the dance"):
    levels = [f"level {number}" for number in range(draw(st.integers(1, 3)))]
    made = []
    for level in levels:
        for _ in range(draw(st.integers(0, 2))):
            made.append(draw(figures(len(made), level, [figure.name for figure in made])))
    danced = [values.Danced(row.name, place) for row in made for place in range(len(row.passages))]
    routines = []
    for number, level in enumerate(levels):
        place = st.none() | st.sampled_from(danced) if danced else st.none()
        before = (routines[-1].level, routines[-1].name) if routines and draw(st.booleans()) else None
        dances_ = tuple(draw(st.lists(place, max_size=3)))
        routines.append(values.Routine(f"routine {number}", level, draw(WORDS), before, dances_))
    slowest = draw(st.none() | st.integers(200, 300).map(lambda tenths: Decimal(tenths) / 10))
    return values.Dance(
        name=name,
        beats_per_bar=draw(st.integers(1, 12)),
        slowest_bars_per_minute=slowest,
        quickest_bars_per_minute=None if slowest is None else slowest + 2,
        floor_use=draw(st.sampled_from(["travels", "slot", "spot"])),
        note=draw(WORDS),
        levels=tuple(values.Level(level, draw(st.integers(1, 3))) for level in levels),
        holds=tuple(
            values.Hold(hold, f"K{place}", draw(PLACE), draw(st.booleans()), tuple(HOLDS[:place]))
            for place, hold in enumerate(HOLDS)
        ),
        rhythms=tuple(
            values.Rhythm(f"rhythm {number}", 1, draw(WORDS), (("1", 12), ("&", draw(st.integers(1, 12)))))
            for number in range(draw(st.integers(0, 2)))
        ),
        figures=tuple(made),
        routines=tuple(routines),
    )


class TestAnyCurriculum:
    @settings(max_examples=40, deadline=None)
    @given(dances())
    def test_what_is_written_is_read_again(self, dance):
        curriculum = values.Curriculum((dance,))
        assert read_file(write_file(curriculum)) == (curriculum, ())

    @settings(max_examples=40, deadline=None)
    @given(dances())
    def test_merged_into_itself_it_does_not_change(self, dance):
        curriculum = values.Curriculum((dance,))
        _, changes = compare(curriculum, curriculum)
        assert changes.nothing

    @pytest.mark.django_db(transaction=False)
    @settings(max_examples=15, deadline=None)
    @given(st.tuples(dances("first"), dances("second")))
    def test_taken_into_an_empty_school_it_goes_out_the_same(self, both):
        empty_the_school()
        data = write_file(values.Curriculum(both))
        taken_in(data)
        assert taken_out() == data
