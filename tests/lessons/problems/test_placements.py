"""Where everything of a plan stands: rows become places in the problem, and back."""

import datetime as dt

import pytest

from lessons.models import (
    PlanFigure,
    PlanIntroduction,
)
from lessons.planners.term import Review
from lessons.problems import findings, placements, write_placements
from tests.factories import (
    RecordFactory,
)
from tests.lessons.problems.rows import cancel, put, read

pytestmark = pytest.mark.django_db


class TestWhereEverythingStands:
    def test_rows_become_indices_and_back(self, plan, lessons):
        put(plan, "fan", parts=2)
        put(plan, "basic")
        problem = read(plan)
        reviews = (Review("basic", 2, 1), Review("basic", 3, 2))
        write_placements(problem, {"fan": 1, "basic": 0}, reviews)
        again = read(plan)
        assert placements(again) == ({"fan": 1, "basic": 0}, reviews)
        fan = PlanFigure.objects.get(figure__name="fan")
        assert [(part.part, part.lesson) for part in fan.introductions.all()] == [
            (0, lessons[1]),
            (1, lessons[2]),
        ]

    def test_a_figure_taught_elsewhere_than_planned_stands_where_it_was_taught(self, plan, lessons):
        fan = put(plan, "fan", new_in=lessons[2])
        RecordFactory(lesson=lessons[0], taught={fan.figure: "introduced"})
        assert placements(read(plan, after=lessons[0]))[0] == {"fan": 0}

    def test_reviews_stand_for_those_owed_now(self, plan, lessons):
        """Planned for the first lesson and taught in the second: the reviews of then are now due later."""
        fan = put(plan, "fan", new_in=lessons[0], again_in=[lessons[2], lessons[3], lessons[4]])
        RecordFactory(lesson=lessons[0])
        RecordFactory(lesson=lessons[1], taught={fan.figure: "introduced"})
        _, reviews = placements(read(plan, after=lessons[1]))
        assert reviews == (Review("fan", 2, 2), Review("fan", 3, 3), Review("fan", 4, 5))

    def test_a_figure_whose_lesson_fell_out_stands_nowhere_and_is_named(self, plan, lessons):
        put(plan, "fan", new_in=lessons[2])
        cancel(lessons[2])
        problem = read(plan)
        assert placements(problem)[0] == {}
        assert problem.notes == ("fan was planned for Tuesday 20 January, which falls out: place it anew.",)

    def test_parts_that_a_moved_lesson_tore_apart_are_named(self, plan, lessons):
        fan = put(plan, "fan", parts=2, new_in=lessons[0])
        PlanIntroduction.objects.create(plan_figure=fan, lesson=lessons[1], part=1)
        lessons[1].date = lessons[3].date + dt.timedelta(days=1)
        lessons[1].save()
        (note,) = read(plan).notes
        assert note == "The parts of fan no longer stand in lessons that follow each other: place it anew."

    def test_findings_are_those_of_the_check(self, plan, lessons):
        put(plan, "fan", new_in=lessons[5])
        (finding,) = findings(plan)
        assert finding.lessons == (5,)
        assert finding.kind == "most"
