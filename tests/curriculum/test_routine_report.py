"""A routine's report: notes, dead ends, levels, what is not taught and when it comes, sides, music."""

import pytest
from django.urls import reverse

from curriculum.models import Routine
from curriculum.routine_clock import moments_of
from curriculum.routine_report import corners_before, routine_page
from lessons.demo.dance_rows import load_dance
from tests.factories import DanceFactory, FigureFactory, LevelFactory, PassageFactory, RoutineFactory
from tests.lessons.planned import TODAY, planned

pytestmark = pytest.mark.django_db


@pytest.fixture
def waltz(school):
    return load_dance("waltz")


def report(routine, reader, clock="level", **chosen):
    routine = Routine.objects.select_related("level__dance", "continues__level__dance").get(pk=routine.pk)
    return routine_page(routine, moments_of(routine, reader, clock).chosen, **chosen)


class TestWhatItSays:
    def test_notes_of_what_a_join_is_like(self, waltz, director):
        said = [note.sentence for note in report(waltz.routines["waltz 2"], director).notes]
        assert "From in line to partner outside: back lock begins with a step outside the partner." in said

    def test_figures_counted_by_level(self, waltz, director):
        assert report(waltz.routines["waltz 2"], director).levels == (("Beginners", 6), ("Improvers", 6))

    def test_a_dead_end_is_named(self, waltz, director):
        waltz.figures["chasse from promenade"].level = waltz.levels[3]
        waltz.figures["chasse from promenade"].save()
        made = RoutineFactory(level=waltz.levels[1], name="short", dances=[waltz.passages["whisk"]])
        assert report(made, director).dead_ends == (
            "Whisk ends in promenade, and nothing else taught by then begins there.",
        )

    def test_where_the_one_below_ends_and_whether_it_goes_on(self, waltz, director):
        found = report(waltz.routines["waltz 2"], director)
        assert found.below.ends.startswith("closed; the leader’s right foot is free")
        assert found.below.join.mark == "flows"

    def test_seconds_at_the_chosen_tempo_and_how_often_it_goes_in(self, waltz, director):
        """48 beats of 3/4 are 16 bars: 32 seconds at 30 a minute."""
        music = report(waltz.routines["waltz 1"], director, tempo=30, seconds=100).music
        assert (music.one_round, music.often) == ("32.0", "3 times into 1:40, 0:04 over")

    def test_what_ends_where_its_start_cannot_follow_goes_in_once(self, waltz, director):
        """Waltz 3 ends with the left foot free and starts with the right."""
        music = report(waltz.routines["waltz 3"], director, tempo=30, seconds=100).music
        assert music.often == "once into 1:40, 1:08 over"
        assert music.again.why_not == (
            "Its end doesn’t connect to its start. Right foot closed change leaves you with the leader's "
            "left foot free, natural turn starts with the leader's right foot."
        )

    def test_a_corner_of_the_room_may_lie_before_its_start(self, waltz, director):
        """Waltz 1 ends facing diagonal to centre, which is diagonal to wall of the new side."""
        again = report(waltz.routines["waltz 1"], director).again
        assert (again.most, again.first) == (None, "Go round a corner of the room.")

    def test_a_change_of_hold_before_it_is_danced_again_is_said(self, school, director):
        chacha = load_dance("cha_cha")
        again = report(chacha.routines["cha-cha 1"], director).again
        assert (again.most, again.first) == (None, "Change from two-hand to closed first.")

    def test_what_is_broken_is_not_said_to_go_in(self, waltz, director, as_director):
        ways = [waltz.passages[name] for name in ("whisk", "natural turn")]
        made = RoutineFactory(level=waltz.levels[1], name="short", dances=ways)
        music = report(made, director).music
        assert music.often == "not danced through yet"
        assert music.again.why_not == "1 join in it must be mended first."
        page = as_director.get(reverse("curriculum:routine", args=[made.pk])).content.decode()
        assert "times into" not in page
        assert "1 join in it must be mended first." in page

    def test_without_a_tempo_of_its_own_the_dance_says_nothing(self, school, director):
        level = LevelFactory(dance=DanceFactory(slowest_bars_per_minute=None))
        made = RoutineFactory(level=level, dances=[PassageFactory(figure=FigureFactory(level=level))])
        assert report(made, director).music is None


class TestTwoClocks:
    @pytest.fixture
    def made(self, settings, school):
        settings.TODAY = TODAY
        made = planned(status="published", figures={"box": 0, "turn": 5, "wing": None})
        ways = [PassageFactory(figure=row.figure) for row in made.plan.figures.all()]
        made.course.routine = RoutineFactory(level=made.course.levels.get(), dances=ways)
        made.course.save()
        return made

    def test_as_of_today_only_what_was_recorded_counts(self, made, director):
        found = report(made.course.routine, director, clock="")
        assert found.moment.label == "as of today (recorded)"
        assert [(row.name, row.when) for row in found.untaught] == [
            ("turn", "planned for lesson 6, Tuesday 10 February"),
            ("wing", ""),
        ]

    def test_as_of_a_lesson_of_the_plan_what_is_planned_counts_too(self, made, director):
        clock = f"{made.course.pk}-{made.lessons[5].pk}"
        assert [row.name for row in report(made.course.routine, director, clock).untaught] == ["wing"]

    def test_the_page_offers_every_lesson_and_says_what_no_lesson_has(self, as_director, made):
        page = as_director.get(reverse("curriculum:routine", args=[made.course.routine_id])).content.decode()
        assert "after lesson 6, Tuesday 10 February (planned, may change)" in page
        assert "in no lesson’s plan" in page

    def test_a_routine_no_course_dances_says_from_which_lesson_each_could(self, as_director, made):
        level = made.course.levels.get()
        for names, when in (
            (["box"], "today"),
            (["box", "turn"], "after lesson 6, Tuesday 10 February (planned, may change)"),
            (["box", "wing"], "not this term: wing is in no lesson’s plan"),
        ):
            ways = [PassageFactory(figure=made.row(name).figure) for name in names]
            other = RoutineFactory(level=level, name=" ".join(names), dances=ways)
            for page in ("routine", "routine-build"):
                shown = as_director.get(reverse(f"curriculum:{page}", args=[other.pk]))
                found = [(row.course, row.when) for row in shown.context["danceable_from"]]
                assert found == [(made.course.name, when)]
                assert when in shown.content.decode()

    def test_a_student_reads_it_with_the_level_s_figures(self, made, student):
        assert moments_of(made.course.routine, student).groups == (
            ("", (("level", f"with every figure up to {made.course.levels.get().name}"),)),
        )


class TestTheRoom:
    def test_sides_change_at_corners_and_go_on_from_the_routine_below(self, waltz, director):
        """Waltz 1 has no corner; waltz 2 begins with one, and waltz 3 with another."""
        second, third = waltz.routines["waltz 2"], waltz.routines["waltz 3"]
        assert (corners_before(second), corners_before(third)) == (0, 1)
        sides = [side.name for line in report(second, director).strip.wide.lines for side in line.sides]
        assert set(sides) == {"short side"}
        sides = [side.name for line in report(third, director).strip.wide.lines for side in line.sides]
        assert set(sides) == {"long side"}

    def test_a_side_is_ruled_as_far_as_it_is_danced(self, waltz, director):
        change, turn = waltz.passages["left foot closed change"], waltz.passages["natural turn"]
        made = RoutineFactory(level=waltz.levels[1], name="short", dances=[change, turn, None, turn])
        (line,) = report(made, director).strip.wide.lines
        first, second = line.sides
        assert (first.name, first.turns, second.name, second.turns) == (
            "long side",
            True,
            "short side",
            False,
        )
        assert first.end == second.x == line.pieces[2].x
        assert second.end == line.end

    def test_a_dance_on_the_spot_has_no_sides(self, school, director):
        level = LevelFactory()
        made = RoutineFactory(level=level, dances=[PassageFactory(figure=FigureFactory(level=level))])
        assert [line.sides for line in report(made, director).strip.wide.lines] == [[]]
