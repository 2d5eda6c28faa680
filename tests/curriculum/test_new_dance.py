"""A new dance comes with the usual holds, their free changes, the rhythms of its metre and a ladder."""

import pytest
from django.core.exceptions import ValidationError

from curriculum.actions import create_dance
from curriculum.models import FloorUse
from curriculum.problems import floor_of
from curriculum.standard import HOLDS, RHYTHMS

pytestmark = pytest.mark.django_db


def test_holds_relax_into_each_other_as_partners_let_go():
    dance = create_dance(name="cha-cha", floor_use=FloorUse.SPOT)
    floor = floor_of(dance)
    assert floor.frees("closed", "two-hand")
    assert floor.frees("apart", "left-to-right")
    assert not floor.frees("closed", "apart")


def test_promenade_belongs_to_dances_that_travel():
    waltz = create_dance(name="waltz", beats_per_bar=3, floor_use=FloorUse.TRAVELS)
    swing = create_dance(name="swing", floor_use=FloorUse.SLOT)
    assert waltz.holds.filter(name="promenade", facing=6).exists()
    assert not swing.holds.filter(name="promenade").exists()


def test_only_rhythms_of_its_metre_come_with_a_dance():
    waltz = create_dance(name="waltz", beats_per_bar=3)
    assert {rhythm.name for rhythm in waltz.rhythms.all()} == {"waltz", "waltz chasse", "waltz turning lock"}
    counts = waltz.rhythms.get(name="waltz chasse").counts.all()
    assert [(row.count, row.ticks) for row in counts] == [("1", 12), ("2", 6), ("&", 6), ("3", 12)]


def test_the_lowest_level_takes_one_new_figure_an_evening_and_the_others_two():
    dance = create_dance(name="cha-cha", levels=["Beginners", "Improvers"])
    assert [(level.rank, level.name, level.most_new) for level in dance.levels.all()] == [
        (1, "Beginners", 1),
        (2, "Improvers", 2),
    ]


def test_a_bar_without_beats_is_refused():
    with pytest.raises(ValidationError, match="greater than or equal to 1"):
        create_dance(name="nothing", beats_per_bar=0)


@pytest.mark.parametrize("rhythm", RHYTHMS, ids=lambda rhythm: rhythm.name)
def test_every_rhythm_says_where_it_comes_from_and_lasts_whole_beats(rhythm):
    assert rhythm.source
    assert sum(ticks for _, ticks in rhythm.counts) % 12 == 0


def test_free_changes_name_holds_that_exist_and_face_alike_or_freely():
    """Letting go or taking a hand does not turn the couple: only "apart" is free to face anywhere."""
    by_key = {hold.key: hold for hold in HOLDS}
    for hold in HOLDS:
        for into in hold.turns_into:
            facings = {hold.facing, by_key[into].facing}
            assert None in facings or len(facings) == 1
