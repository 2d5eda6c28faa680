"""A curriculum file is written into the school: rows keep their keys, and all of it stands or nothing."""

import json
from dataclasses import replace

import pytest

from curriculum import models
from curriculum.travel.apply import PreviewOvertaken, take_in
from curriculum.travel.changes import compare
from curriculum.travel.collect import curriculum_of
from curriculum.travel.values import Chart, Curriculum, Danced, Hold, Level, Passage, Step
from curriculum.travel.writing import write_file
from tests.curriculum.travelled import BOX, TURN, WALTZ, waltz
from tests.factories import (
    DanceFactory,
    FigureFactory,
    HoldFactory,
    LevelFactory,
    PassageFactory,
    RoutineFactory,
)


def take(curriculum):
    data = write_file(curriculum)
    _, changes = compare(curriculum, curriculum_of(models.Dance.objects.all()))
    return take_in(data=data, fingerprint=changes.fingerprint())


def school_now():
    return curriculum_of(models.Dance.objects.all())


@pytest.mark.django_db
class TestWriting:
    def test_rows_keep_their_keys(self):
        """Plans, records and routines point to them."""
        take(waltz(replace(BOX, charts=(Chart("a"),), passages=(Passage("x", chart=0),)), TURN))
        keys = {
            model: set(model.objects.values_list("pk", flat=True)) for model in (models.Figure, models.Level)
        }
        keys |= {
            model: set(model.objects.values_list("pk", flat=True))
            for model in (models.Passage, models.StepChart)
        }
        asked = replace(
            BOX,
            minutes_to_introduce=9,
            charts=(Chart("a", leader=(Step("1", 12, "step", "L"),)),),
            passages=(Passage("x", give=1, chart=0),),
        )
        take(waltz(asked, TURN))
        assert keys == {model: set(model.objects.values_list("pk", flat=True)) for model in keys}
        assert school_now().dances[0].figures[0] == asked

    def test_a_changed_figure_s_version_rises_and_its_history_is_kept(self, director):
        take(waltz(BOX, TURN))
        asked = waltz(replace(BOX, notes="Feet close."), TURN)
        _, changes = compare(asked, school_now())
        take_in(data=write_file(asked), fingerprint=changes.fingerprint(), by=director)
        box, turn = models.Figure.objects.order_by("name")
        assert (box.version, turn.version) == (2, 1)
        assert [(row.version, row.by) for row in box.versions.all()] == [(2, director), (1, None)]

    def test_levels_move_up_for_a_new_one_between_them(self):
        take(waltz(BOX, TURN))
        take(waltz(levels=(Level("Beginners", 1), Level("Middle"), Level("Improvers"))))
        ladder = models.Level.objects.order_by("rank").values_list("rank", "name")
        assert list(ladder) == [(1, "Beginners"), (2, "Middle"), (3, "Improvers")]

    def test_figures_swap_names(self):
        take(waltz(replace(BOX, other_names=("square",)), replace(TURN, other_names=("three",))))
        take(waltz(replace(BOX, other_names=("square", "basic"))))
        assert models.FigureName.objects.get(key="basic").figure.name == "box step"

    def test_what_the_file_does_not_name_stays(self):
        take(waltz(BOX, TURN, holds=(Hold("closed", "CL"),)))
        before = school_now()
        take(Curriculum((replace(WALTZ, name="tango"),)))
        assert school_now().dances[1] == before.dances[0]

    def test_a_need_learns_that_it_may_share_an_evening(self):
        take(waltz(BOX, TURN))
        take(waltz(replace(TURN, needs=(("box step", True),))))
        assert models.Prerequisite.objects.get().same_evening

    def test_a_routine_is_danced_anew_and_one_that_is_left_alone_is_not(self):
        box = FigureFactory(
            level=LevelFactory(dance=DanceFactory(name="waltz", beats_per_bar=3)), name="box step"
        )
        ways = [PassageFactory(figure=box, label=label) for label in "xy"]
        RoutineFactory(level=box.level, name="first", dances=[ways[0]])
        other = RoutineFactory(level=box.level, name="second", dances=[ways[1]])
        (dance,) = school_now().dances
        first = replace(dance.routines[0], dances=(Danced("box step", 1), None))
        take(Curriculum((replace(dance, routines=(first,)),)))
        routine = models.Routine.objects.get(name="first")
        assert [item.passage for item in routine.items.all()] == [ways[1], None]
        assert routine.version == 2
        other.refresh_from_db()
        assert other.version == 1

    def test_a_school_that_changed_meanwhile_is_left_alone(self):
        take(waltz(BOX))
        asked = waltz(replace(BOX, notes="Feet close."))
        _, changes = compare(asked, school_now())
        models.Figure.objects.update(notes="Small steps.")
        with pytest.raises(PreviewOvertaken) as overtaken:
            take_in(data=write_file(asked), fingerprint=changes.fingerprint())
        assert overtaken.value.changes.dances[0].kinds[3].changed[0].fields[0].before == "Small steps."
        assert models.Figure.objects.get().notes == "Small steps."

    def test_with_one_mistake_nothing_is_written(self):
        asked = waltz(BOX, replace(TURN, needs=(("nothing", False),)))
        _, changes = compare(asked, Curriculum())
        with pytest.raises(PreviewOvertaken):
            take_in(data=write_file(asked), fingerprint=changes.fingerprint())
        assert not models.Dance.objects.exists()

    @pytest.mark.parametrize("number", [5, 60])
    def test_writing_costs_the_same_for_any_number_of_figures(self, number, django_assert_num_queries):
        step = Step("1", 12, "step", "L", hold="closed")
        figures = [
            replace(
                BOX,
                name=f"figure {place}",
                charts=(Chart("whole", leader=(step,)),),
                passages=(Passage("x", entry_hold="closed", chart=0),),
                cautions=("toes",),
            )
            for place in range(number)
        ]
        asked = waltz(*figures, holds=(Hold("closed", "CL"),))
        _, changes = compare(asked, school_now())
        with django_assert_num_queries(29):
            take_in(data=write_file(asked), fingerprint=changes.fingerprint())
        assert models.StepChart.objects.count() == number

    def test_rows_of_a_hold_are_written_once(self):
        hold = HoldFactory(name="closed", key="CL")
        (dance,) = school_now().dances
        take(Curriculum((replace(dance, holds=(*dance.holds, Hold("open", "OP", turns_into=("closed",)))),)))
        assert json.loads(write_file(school_now()))["dances"][0]["holds"][1]["turns_into"] == ["closed"]
        assert models.Hold.objects.get(key="CL") == hold
