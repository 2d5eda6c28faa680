"""What must be taught before what: a circle is refused when it would be closed, and spelled out."""

import threading

import pytest
from django.core.exceptions import ValidationError
from django.db import connection, connections

from curriculum import actions
from curriculum.actions import add_prerequisite, create_figure, remove_prerequisite, update_figure
from curriculum.models import Prerequisite
from curriculum.problems import needs_of
from curriculum.rules.syllabus import circle_through
from school.errors import Overtaken
from tests.factories import DanceFactory, FigureFactory, LevelFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def level():
    return LevelFactory(rank=1)


def figures(level, *names):
    return [FigureFactory(level=level, name=name) for name in names]


def test_a_figure_needs_another_from_then_on(level):
    fan, basic = figures(level, "fan", "basic")
    add_prerequisite(figure=fan, needs=basic)
    assert needs_of(level.dance) == {"fan": {"basic"}, "basic": frozenset()}


def test_two_figures_that_need_each_other_are_a_circle(level):
    fan, alemana = figures(level, "fan", "alemana")
    add_prerequisite(figure=alemana, needs=fan)
    with pytest.raises(ValidationError, match="fan needs alemana, which needs fan") as refused:
        add_prerequisite(figure=fan, needs=alemana)
    assert "needs" in refused.value.message_dict
    assert Prerequisite.objects.count() == 1


def test_a_long_circle_is_spelled_out_from_the_figure_being_changed(level):
    fan, alemana, hockey = figures(level, "fan", "alemana", "hockey stick")
    add_prerequisite(figure=alemana, needs=fan)
    add_prerequisite(figure=hockey, needs=alemana)
    with pytest.raises(ValidationError, match="fan needs hockey stick, which needs alemana, which needs fan"):
        add_prerequisite(figure=fan, needs=hockey)


def test_a_need_that_may_share_the_evening_closes_a_circle_too(level):
    whisk, chasse = figures(level, "whisk", "chasse")
    add_prerequisite(figure=chasse, needs=whisk, same_evening=True)
    with pytest.raises(ValidationError, match="whisk needs chasse, which needs whisk"):
        add_prerequisite(figure=whisk, needs=chasse)


def test_without_one_of_its_needs_the_circle_is_open_again(level):
    fan, alemana = figures(level, "fan", "alemana")
    add_prerequisite(figure=alemana, needs=fan)
    remove_prerequisite(figure=alemana, needs=fan)
    add_prerequisite(figure=fan, needs=alemana)
    assert needs_of(level.dance)["fan"] == {"alemana"}


def test_a_figure_cannot_need_itself(level):
    (fan,) = figures(level, "fan")
    with pytest.raises(ValidationError, match="cannot need itself"):
        add_prerequisite(figure=fan, needs=fan)


def test_the_same_need_is_not_written_twice(level):
    fan, basic = figures(level, "fan", "basic")
    add_prerequisite(figure=fan, needs=basic)
    with pytest.raises(ValidationError, match="fan needs basic already"):
        add_prerequisite(figure=fan, needs=basic)


def test_a_figure_of_another_dance_is_no_prerequisite(level):
    (fan,) = figures(level, "fan")
    with pytest.raises(ValidationError, match="belongs to another dance"):
        add_prerequisite(figure=fan, needs=FigureFactory())


def test_a_figure_of_a_higher_level_is_no_prerequisite(level):
    (fan,) = figures(level, "fan")
    higher = FigureFactory(level=LevelFactory(dance=level.dance, rank=2, name="Upper"), name="spiral")
    with pytest.raises(ValidationError, match="spiral is taught on Upper, above"):
        add_prerequisite(figure=fan, needs=higher)


def test_a_figure_is_not_moved_above_what_needs_it(level):
    basic, fan = figures(level, "basic", "fan")
    upper = LevelFactory(dance=level.dance, rank=2)
    add_prerequisite(figure=fan, needs=basic)
    with pytest.raises(ValidationError, match="fan needs basic and is taught on a lower level"):
        update_figure(figure=basic, version=1, name="basic", level=upper)


class TestTwoWritersAtOnce:
    """Each would close half of a circle. The lock on the dance lets one through at a time."""

    pytestmark = pytest.mark.django_db(transaction=True)

    @pytest.fixture(autouse=True)
    def a_database_with_two_connections(self):
        if connection.vendor == "sqlite":
            pytest.skip("SQLite's write lock is the whole database's: two transactions never write at once")

    def close_both_halves(self, *pairs):
        refused = []

        def close_half(figure, needs):
            try:
                add_prerequisite(figure=figure, needs=needs)
            except ValidationError as refusal:
                refused.append(refusal)
            finally:
                connections.close_all()

        writers = [threading.Thread(target=close_half, args=pair) for pair in pairs]
        for writer in writers:
            writer.start()
        for writer in writers:
            writer.join(30)
        return refused

    def test_one_of_them_is_refused(self):
        fan, alemana = figures(LevelFactory(rank=1), "fan", "alemana")
        refused = self.close_both_halves((fan, alemana), (alemana, fan))
        assert len(refused) == 1
        assert Prerequisite.objects.count() == 1

    def test_without_the_lock_they_would_close_the_circle(self, monkeypatch):
        """Shows that the test above tests something: both look before either writes."""
        both_have_looked = threading.Barrier(2)

        def look(needs, key):
            circle = circle_through(needs, key)
            both_have_looked.wait(10)
            return circle

        monkeypatch.setattr(actions, "_lock", lambda dance_id: None)
        monkeypatch.setattr(actions, "circle_through", look)
        fan, alemana = figures(LevelFactory(rank=1), "fan", "alemana")
        assert self.close_both_halves((fan, alemana), (alemana, fan)) == []
        assert Prerequisite.objects.count() == 2


class TestNames:
    def test_main_name_and_other_names_stand_in_one_table(self, level):
        fan = create_figure(
            level=level, name="  fan ", other_names=["open  fan", ""], minutes_to_introduce=10
        )
        assert fan.name == "fan"
        assert [(row.name, row.is_main) for row in fan.names.all()] == [("fan", True), ("open fan", False)]

    def test_a_new_figure_comes_at_the_end_of_its_level(self, level):
        first = create_figure(level=level, name="basic", minutes_to_introduce=10)
        second = create_figure(level=level, name="fan", minutes_to_introduce=10)
        assert first.order < second.order

    def test_a_name_in_other_capitals_is_the_same_name(self, level):
        create_figure(level=level, name="étoile", minutes_to_introduce=10)
        with pytest.raises(ValidationError, match="already has a figure called “étoile”") as refused:
            create_figure(level=level, name="ÉTOILE", minutes_to_introduce=10)
        assert "name" in refused.value.message_dict

    def test_an_other_name_that_is_taken_stands_at_the_other_names(self, level):
        create_figure(level=level, name="fan", other_names=["open fan"], minutes_to_introduce=10)
        with pytest.raises(ValidationError, match="another name of fan") as refused:
            create_figure(level=level, name="alemana", other_names=["Open Fan"], minutes_to_introduce=10)
        assert "other_names" in refused.value.message_dict
        assert not level.figures.filter(name="alemana").exists()

    def test_two_dances_may_use_one_name(self, level):
        create_figure(level=level, name="basic", minutes_to_introduce=10)
        other = LevelFactory(dance=DanceFactory(), rank=1)
        assert create_figure(level=other, name="basic", minutes_to_introduce=10).pk

    def test_a_rename_keeps_both_tables_in_step(self, level):
        fan = create_figure(level=level, name="fan", other_names=["open fan"], minutes_to_introduce=10)
        update_figure(figure=fan, version=1, name="Open Fan", other_names=["fan"], minutes_to_introduce=12)
        fan.refresh_from_db()
        assert (fan.name, fan.minutes_to_introduce, fan.version) == ("Open Fan", 12, 2)
        assert [(row.name, row.is_main) for row in fan.names.all()] == [("Open Fan", True), ("fan", False)]

    def test_whoever_comes_second_is_told(self, level):
        fan = create_figure(level=level, name="fan", minutes_to_introduce=10)
        update_figure(figure=fan, version=1, name="fan", minutes_to_introduce=12)
        with pytest.raises(Overtaken, match="Somebody changed fan"):
            update_figure(figure=fan, version=1, name="the fan", minutes_to_introduce=8)
        fan.refresh_from_db()
        assert (fan.name, fan.minutes_to_introduce) == ("fan", 12)
