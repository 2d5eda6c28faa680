"""A figure as its page shows it: its chart, its ways in and out, its words, what it needs and opens."""

import pytest
from django.urls import reverse

from curriculum.models import (
    Caution,
    ChartStep,
    Fault,
    Hold,
    StepChart,
)
from tests.curriculum.pages import in_order, text_of
from tests.factories import (
    DanceFactory,
    FigureFactory,
    HoldFactory,
    LevelFactory,
    PassageFactory,
    RoutineFactory,
)

pytestmark = pytest.mark.django_db


class TestOneFigure:
    def test_a_chart_stands_against_the_counts_for_both_roles(self, as_director, waltz, level):
        figure = FigureFactory(level=level, name="natural turn", ticks=36)
        chart = StepChart.objects.create(figure=figure)
        promenade = HoldFactory(dance=waltz, key="PR", name="promenade")
        for position, (count, foot) in enumerate([("1", "R"), ("2", "L"), ("3", "R")]):
            ChartStep.objects.create(
                chart=chart,
                role="L",
                position=position,
                count=count,
                ticks=12,
                foot=foot,
                action="step",
                turn=position,
            )
            ChartStep.objects.create(
                chart=chart,
                role="F",
                position=position,
                count=count,
                ticks=12,
                foot="L" if foot == "R" else "R",
                action="close" if position == 2 else "step",
                hold=promenade if position == 2 else None,
                cue="look along the room" if position == 2 else "",
            )
        text = text_of(as_director, "figure", figure.pk)
        assert '<span class="role-L">leader</span>' in text
        assert '<span class="role-F">follower</span>' in text
        assert '<span class="turn">¼ to the right</span>' in text
        assert "<b>promenade</b>: look along the room" in text
        assert "The chart is still to come" not in text

    def test_without_a_chart_it_says_so_quietly(self, as_director, level):
        figure = FigureFactory(level=level)
        text = text_of(as_director, "figure", figure.pk)
        assert "The chart is still to come." in text
        assert reverse("curriculum:chart-new", args=[figure.pk]) in text

    def test_a_technique_waits_for_no_chart(self, as_director, level):
        frame = FigureFactory(level=level, ticks=None, kind="technique")
        assert "still to come" not in text_of(as_director, "figure", frame.pk)

    def test_ways_in_and_out_with_the_free_foot_in_words(self, as_director, waltz, level):
        closed, promenade = (
            HoldFactory(dance=waltz, name="closed"),
            HoldFactory(dance=waltz, name="promenade"),
        )
        figure = FigureFactory(level=level, name="whisk")
        PassageFactory(
            figure=figure,
            entry_hold=closed,
            entry_foot="L",
            entry_place=1,
            exit_hold=promenade,
            exit_foot="R",
            give=1,
        )
        text = text_of(as_director, "figure", figure.pk)
        assert "closed; the leader’s left foot is free; the leader faces diagonal to wall" in text
        assert "promenade; the leader’s right foot is free; may be turned 1 eighth more or less" in text

    def test_on_a_slot_the_place_is_the_follower_s_end(self, as_director):
        level = LevelFactory(dance=DanceFactory(floor_use="slot"))
        figure = FigureFactory(level=level)
        PassageFactory(figure=figure, entry_place=0, exit_place=1)
        assert "in any hold; either foot is free; the follower is at end 0 of the slot" in text_of(
            as_director, "figure", figure.pk
        )

    def test_cautions_stand_before_how_it_goes(self, as_director, level):
        figure = FigureFactory(level=level)
        Caution.objects.create(figure=figure, text="Arms overhead: nobody pulls.")
        text = text_of(as_director, "figure", figure.pk)
        assert in_order(text, 'class="note caution"', "Arms overhead: nobody pulls.", "How it goes")

    def test_words_faults_needs_and_what_it_opens(self, as_director, level, improvers):
        box = FigureFactory(level=level, name="box step")
        figure = FigureFactory(
            level=level,
            name="natural turn",
            lead="the ribs",
            response="a longer step",
            notes="slowly",
            needs=[box],
        )
        Fault.objects.create(figure=figure, fault="rushed", remedy="count aloud")
        opened = FigureFactory(level=improvers, name="spin turn", needs=[figure])
        routine = RoutineFactory(level=improvers, name="once round", dances=[PassageFactory(figure=figure)])
        text = text_of(as_director, "figure", figure.pk)
        assert in_order(
            text, "the ribs", "a longer step", "slowly", "rushed", "count aloud", "box step", "spin turn"
        )
        assert reverse("curriculum:figure", args=[opened.pk]) in text
        assert reverse("curriculum:routine", args=[routine.pk]) in text


def test_a_way_whose_holds_are_open_still_has_words(as_director, level):
    figure = FigureFactory(level=level)
    PassageFactory(figure=figure)
    assert "in any hold; either foot is free" in text_of(as_director, "figure", figure.pk)
    assert not Hold.objects.exists()
