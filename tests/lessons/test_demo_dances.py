"""The demo school's dances: what its data files say holds by the body's rules and by the routine check."""

import pytest
from django.apps import apps

from curriculum.models import (
    Caution,
    Dance,
    Figure,
    FigureKind,
    FigureName,
    FloorUse,
    Hold,
    Passage,
    Prerequisite,
    Rhythm,
    Routine,
    StepChart,
)
from curriculum.problems import join_from_below, passage_of, routine_report
from curriculum.rules import chart as rules
from curriculum.rules.chart_exit import exit_of
from curriculum.rules.steps import other_foot
from lessons.demo.dance_rows import load_dance
from lessons.demo.load import DANCES
from lessons.demo.read import read

CHARTED_LEVELS = 2
"""The two lowest levels of each dance are charted whole."""

BESIDE = "side by side, follower on the {}"

WITH_A_CAUTION = {
    "natural spin turn": "pivot",
    "follower's underarm turn": "overhead",
    "alemana": "overhead",
    "closed hip twist": "back",
    "spiral turn": "knee",
    "sugar push": "straight arms",
    "basic whip": "no pulling",
    "free spin": "dizzy",
    "basket": "never tighten",
    "hammerlock pass": "belt height",
    "whip to shadow": "touch",
}


@pytest.fixture
def dances(db):
    return {rows.dance.name: rows for rows in map(load_dance, DANCES)}


def test_three_dances_of_three_kinds_with_three_levels_each(dances):
    assert {dance.name: dance.floor_use for dance in Dance.objects.all()} == {
        "waltz": FloorUse.TRAVELS,
        "cha-cha": FloorUse.SPOT,
        "West Coast swing": FloorUse.SLOT,
    }
    for rows in dances.values():
        ladder = [(level.name, level.most_new) for level in rows.levels.values()]
        assert ladder == [("Beginners", 1), ("Improvers", 2), ("Intermediate", 2)]


def test_there_are_63_figures_and_a_few_techniques(dances):
    figures = Figure.objects.filter(kind=FigureKind.FIGURE)
    assert [figures.filter(dance=rows.dance).count() for rows in dances.values()] == [21, 21, 21]
    techniques = Figure.objects.filter(kind=FigureKind.TECHNIQUE)
    assert [techniques.filter(dance=rows.dance).count() for rows in dances.values()] == [3, 2, 2]
    assert not Passage.objects.filter(figure__in=techniques).exists()
    assert not figures.filter(passages__isnull=True).exists()
    assert Routine.objects.count() == 9


def test_no_row_says_more_than_its_column_holds(dances):
    """SQLite would keep an overlong text that PostgreSQL refuses."""
    for model in apps.get_app_config("curriculum").get_models():
        links = [field.name for field in model._meta.fields if field.is_relation]
        for row in model.objects.all():
            row.clean_fields(exclude=links)


def test_a_figure_has_all_its_names(dances):
    assert dances["waltz"].figure("natural spin turn").other_names == ["spin turn"]
    assert FigureName.objects.get(dance__name="waltz", key="right turn").figure.name == "natural turn"
    assert FigureName.objects.filter(is_main=True).count() == Figure.objects.count()


def test_what_a_figure_needs_comes_before_it(dances):
    """On the same level or below, and earlier in the syllabus: so there is no circle either."""
    for row in Prerequisite.objects.select_related("figure__level", "needs__level"):
        before, after = (
            (figure.dance_id, figure.level.rank, figure.order) for figure in (row.needs, row.figure)
        )
        assert before[0] == after[0], row
        assert before[1] <= after[1], row
        assert before[2] < after[2], row


def test_a_technique_is_needed_by_a_figure(dances):
    techniques = Figure.objects.filter(kind=FigureKind.TECHNIQUE, opens__isnull=False).distinct()
    assert {technique.name for technique in techniques} == {
        "frame",
        "rise and fall",
        "hearing the two",
        "tone in the arms",
        "anchor",
        "keeping the slot",
    }


def test_the_whisk_and_the_chasse_out_of_it_may_share_an_evening(dances):
    row = Prerequisite.objects.get(figure__name="chasse from promenade")
    assert (row.needs.name, row.same_evening) == ("whisk", True)


@pytest.mark.parametrize("figure", WITH_A_CAUTION)
def test_where_a_figure_can_hurt_it_says_so(figure, dances):
    texts = " ".join(Caution.objects.filter(figure__name=figure).values_list("text", flat=True))
    assert WITH_A_CAUTION[figure] in texts.lower()


def test_all_of_the_two_lowest_levels_can_be_read_from_a_chart_by_either_role(dances):
    """Every way through every figure; a technique has no ways and no chart."""
    lowest = Passage.objects.filter(figure__level__rank__lte=CHARTED_LEVELS).select_related("figure", "chart")
    assert {row.figure.dance_id for row in lowest} == {rows.dance.pk for rows in dances.values()}
    assert [str(row.figure) for row in lowest if row.chart is None] == []
    for row in lowest:
        assert {step.role for step in row.chart.steps.all()} == {"L", "F"}, row.figure


def test_a_figure_of_two_sides_has_both_and_the_one_is_the_mirror_of_the_other(dances):
    cha_cha = dances["cha-cha"].passages
    two_sided = [
        row
        for row in Passage.objects.filter(label="left foot", chart__isnull=False).select_related("figure")
        if row.figure.level.rank <= CHARTED_LEVELS
    ]
    assert {row.figure.name for row in two_sided} == {
        "New York",
        "spot turn",
        "hand to hand",
        "shoulder to shoulder",
    }
    for row in two_sided:
        other = cha_cha[f"{row.figure.name}: right foot"]
        for role in "LF":
            assert _mirrored(_steps(row.chart, role)) == _feet_and_turns(_steps(other.chart, role))


def test_a_swing_figure_can_begin_at_either_end_of_the_slot(dances):
    figures = Figure.objects.filter(dance=dances["West Coast swing"].dance, level__rank__lte=CHARTED_LEVELS)
    for figure in figures.filter(kind=FigureKind.FIGURE):
        ways = [
            passage_of(row) for row in figure.passages.select_related("figure", "entry_hold", "exit_hold")
        ]
        if ways[0].entry.place is None:
            continue
        assert [way.entry.place for way in ways] == [0, 1], figure
        assert [way.exit.place for way in ways] in ([0, 1], [1, 0]), figure


def test_where_a_chart_leads_is_where_its_passage_ends(dances):
    for row in _charted_passages():
        passage = passage_of(row)
        dance = row.figure.dance
        derived = exit_of(
            _steps(row.chart, "L"),
            entry=passage.entry,
            hold=passage.exit.hold,
            holds=_facings(dance),
            slot=dance.floor_use == FloorUse.SLOT,
        )
        assert derived.foot == passage.exit.foot, row.figure
        assert derived.place is None or derived.place == passage.exit.place, row.figure


def test_every_chart_passes_the_bodys_rules(dances):
    checked = set()
    for row in _charted_passages():
        findings = _findings(row)
        assert findings == (), f"{row.figure}, {row}: {[finding.sentence for finding in findings]}"
        checked.add(row.chart_id)
    assert len(checked) == StepChart.objects.count()


def test_the_check_of_a_chart_sees_a_slip_in_the_data(dances):
    """So that the test above cannot pass by checking nothing."""
    row = next(row for row in _charted_passages() if row.figure.name == "whisk")
    step = row.chart.steps.get(role="L", position=1)
    step.foot = "L"
    step.save()
    assert _findings(row) != ()


@pytest.mark.parametrize("name", [row["name"] for dance in DANCES for row in read(dance)["routine"]])
def test_every_routine_joins_fills_its_phrases_and_goes_on_from_the_one_below(name, dances):
    written = next(row for dance in DANCES for row in read(dance)["routine"] if row["name"] == name)
    routine = Routine.objects.select_related("level__dance", "continues").get(name=name)
    up_to_its_level = Figure.objects.filter(
        dance=routine.level.dance, level__rank__lte=routine.level.rank
    ).values_list("name", flat=True)
    report = routine_report(routine, taught=frozenset(up_to_its_level))
    assert report.findings == ()
    assert report.beats == written["beats"]
    assert report.danceable == len(written["dances"])
    if routine.level.rank > 1:
        assert routine.continues.level.rank == routine.level.rank - 1
        assert join_from_below(routine).status in {"holds", "free change"}


def _charted_passages():
    return Passage.objects.filter(chart__isnull=False).select_related(
        "figure__dance", "entry_hold", "exit_hold", "chart"
    )


def _findings(row):
    leader, follower = _steps(row.chart, "L"), _steps(row.chart, "F")
    dance = row.figure.dance
    passage = passage_of(row)
    return rules.check_chart(
        leader,
        follower,
        beats=row.beats,
        entry=passage.entry,
        exit=passage.exit,
        rhythm=_rhythm(dance, [step.count for step in leader]),
        holds=_facings(dance),
        slot=dance.floor_use == FloorUse.SLOT,
    )


def _facings(dance):
    return {hold.name: rules.Hold(hold.facing, hold.same_foot) for hold in Hold.objects.filter(dance=dance)}


def _feet_and_turns(steps):
    return [(step.count, step.foot, step.action, step.direction, step.turn, step.hold) for step in steps]


def _mirrored(steps):
    """The other foot, the turn to the other side, and side by side on the other side."""
    other_side = {
        BESIDE.format("left"): BESIDE.format("right"),
        BESIDE.format("right"): BESIDE.format("left"),
    }
    return [
        (
            step.count,
            other_foot(step.foot),
            step.action,
            step.direction,
            -step.turn,
            other_side.get(step.hold, step.hold),
        )
        for step in steps
    ]


def _steps(chart, role):
    return [
        rules.Step(
            count=row.count,
            ticks=row.ticks,
            foot=row.foot or None,
            action=row.action,
            direction=row.direction,
            turn=row.turn,
            hold=row.hold.name if row.hold else None,
            cue=row.cue,
        )
        for row in chart.steps.filter(role=role).select_related("hold").order_by("position")
    ]


def _rhythm(dance, counts):
    """The dance's rhythm units laid end to end so that they are said as the chart is: longest unit first."""
    units = [
        [(row.count, row.ticks) for row in rhythm.counts.all()]
        for rhythm in Rhythm.objects.filter(dance=dance).prefetch_related("counts")
    ]
    units.sort(key=len, reverse=True)
    laid = []
    while len(laid) < len(counts):
        said = counts[len(laid) :]
        laid += next(unit for unit in units if [count for count, _ in unit] == said[: len(unit)])
    return laid
