"""A chart as it is shown: its moments on the ruler of beats, and turns in words."""

import pytest

from curriculum.chart_table import moments, turn_words
from curriculum.models import (
    ChartStep,
    StepChart,
)

pytestmark = pytest.mark.django_db


def charted(whisk, counts):
    chart = StepChart.objects.create(figure=whisk)
    for position, (count, ticks) in enumerate(counts):
        ChartStep.objects.create(
            chart=chart, role="L", position=position, count=count, ticks=ticks, foot="L", action="step"
        )
    return chart


def test_a_chart_that_begins_on_two_has_its_bar_line_at_one(whisk):
    counts = [("2", 12), ("3", 12), ("4", 6), ("&", 6), ("1", 12)]
    rows = moments(charted(whisk, counts), beats_per_bar=4)
    assert [(row.count, row.mark) for row in rows] == [
        ("2", "beat"),
        ("3", "beat"),
        ("4", "beat"),
        ("&", "off"),
        ("1", "bar"),
    ]


def test_roles_that_step_at_different_moments_each_keep_their_own(whisk):
    chart = charted(whisk, [("1", 12), ("2", 12)])
    ChartStep.objects.create(chart=chart, role="F", position=0, count="1", ticks=6, foot="R", action="touch")
    ChartStep.objects.create(chart=chart, role="F", position=1, count="&", ticks=18, foot="R", action="step")
    rows = moments(chart, beats_per_bar=4)
    assert [(row.count, row.leader is None, row.follower is None) for row in rows] == [
        ("1", False, False),
        ("&", True, False),
        ("2", False, True),
    ]


def test_turn_in_words():
    assert [turn_words(eighths) for eighths in (0, 1, -4, 8, 10)] == [
        "",
        "⅛ to the right",
        "½ to the left",
        "a whole turn to the right",
        "1¼ to the right",
    ]
