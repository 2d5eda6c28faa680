"""`plan_term` and `check_routines` at the command line: plain words, JSON, and what they end with."""

import json
import re

import pytest
from django.core.management import CommandError, call_command

from lessons.demo.dance_rows import load_dance
from lessons.models import PlanIntroduction, TermPlan
from tests.factories import (
    CourseFactory,
    FigureFactory,
    HoldFactory,
    LevelFactory,
    PassageFactory,
    PlanFactory,
    PlanFigureFactory,
    RoutineFactory,
    TermFactory,
    weekly_lessons,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("before_the_term")]


@pytest.fixture
def course():
    """Four Tuesdays; fan needs basic."""
    course = CourseFactory(key="CB", name="Cha-cha Beginners", level=LevelFactory(rank=2))
    weekly_lessons(course, 4)
    level = course.levels.get()
    basic = FigureFactory(level=level, name="basic")
    FigureFactory(level=level, name="fan", needs=[basic])
    return course


class TestPlanTerm:
    def run(self, capsys, *arguments):
        code = 0
        try:
            call_command("plan_term", *arguments)
        except SystemExit as ended:
            code = ended.code
        return capsys.readouterr().out, code

    def test_a_plan_is_told_lesson_by_lesson(self, course, capsys):
        printed, code = self.run(capsys, "CB")
        assert code == 0
        lines = printed.splitlines()
        assert lines[0] == "CB, Cha-cha Beginners: best possible."
        assert lines[1] == "   1. Tuesday 6 January (12 of 38 min): new basic"
        assert any("new fan" in line for line in lines)
        assert "  minutes in the fullest lesson: 16 (at least 16)" in lines

    def test_nothing_is_written(self, course, capsys):
        self.run(capsys, "CB")
        assert not TermPlan.objects.exists()

    def test_asked_to_save_it_keeps_a_draft(self, course, capsys):
        self.run(capsys, "CB", "--save")
        draft = TermPlan.objects.get()
        assert draft.status == "draft"
        first = PlanIntroduction.objects.get(plan_figure__figure__name="basic").lesson
        assert first == course.lessons.in_order().first()

    def test_the_newest_draft_says_what_is_asked(self, course, capsys):
        draft = PlanFactory(course=course)
        last = course.lessons.in_order()[2]
        PlanFigureFactory(plan=draft, figure=course.dance.figures.get(name="basic"), pinned=last)
        printed, _ = self.run(capsys, "CB")
        assert "   3. Tuesday 20 January (12 of 38 min): new basic" in printed
        assert "fan" not in printed

    def test_json_holds_the_whole_answer(self, course, capsys):
        printed, _ = self.run(capsys, "cb", "--json")
        answer = json.loads(printed)
        assert (answer["course"], answer["status"], answer["quality"]) == ("CB", "optimal", "best possible")
        assert answer["introductions"]["basic"] == 0
        assert answer["lessons"] == ["2026-01-06", "2026-01-13", "2026-01-20", "2026-01-27"]

    def test_an_impossible_term_says_why_and_ends_with_1(self, course, capsys):
        draft = PlanFactory(course=course)
        first = course.lessons.in_order().first()
        for figure in course.dance.figures.all():
            PlanFigureFactory(plan=draft, figure=figure, pinned=first)
        printed, code = self.run(capsys, "CB")
        assert code == 1
        assert "This can't all fit, because:" in printed
        assert "fan" in printed

    def test_all_courses_of_the_term_are_planned(self, course, capsys):
        CourseFactory(key="WB", term=course.term)
        CourseFactory(key="OLD", term=TermFactory(first_day="2025-01-06", last_day="2025-03-30"))
        printed, _ = self.run(capsys, "--all", "--json")
        assert [answer["course"] for answer in json.loads(printed)] == ["CB", "WB"]

    def test_of_two_courses_with_one_key_this_term_s_is_meant(self, course, capsys):
        CourseFactory(key="CB", term=TermFactory(first_day="2025-01-06", last_day="2025-03-30"), name="Old")
        printed, _ = self.run(capsys, "CB")
        assert "Cha-cha Beginners" in printed

    def test_a_key_nobody_knows_names_those_there_are(self, course):
        with pytest.raises(CommandError, match=r"no course “XX”\. The courses are: CB"):
            call_command("plan_term", "XX")

    @pytest.mark.parametrize("arguments", [[], ["CB", "--all"]])
    def test_one_course_or_all_must_be_named(self, course, arguments):
        with pytest.raises(CommandError, match="Name one course"):
            call_command("plan_term", *arguments)


class TestCheckRoutines:
    @pytest.fixture
    def level(self):
        return LevelFactory(rank=1, name="Beginners", dance__name="cha-cha")

    def passage(self, level, name, start, end):
        holds = {
            key: HoldFactory._meta.model.objects.filter(dance=level.dance, name=key).first()
            or HoldFactory(dance=level.dance, name=key)
            for key in (start, end)
        }
        figure = FigureFactory(level=level, name=name)
        return PassageFactory(figure=figure, entry_hold=holds[start], exit_hold=holds[end])

    def run(self, capsys, *arguments):
        code = 0
        try:
            call_command("check_routines", *arguments)
        except SystemExit as ended:
            code = ended.code
        return capsys.readouterr().out, code

    def test_without_routines_there_is_nothing_to_break(self, capsys):
        printed, code = self.run(capsys)
        assert (printed.strip(), code) == ("There is no routine yet.", 0)

    def test_a_routine_that_holds_ends_with_0(self, level, capsys):
        basic = self.passage(level, "basic", "closed", "closed")
        fan = self.passage(level, "fan", "closed", "fan")
        RoutineFactory(level=level, dances=[basic, fan])
        printed, code = self.run(capsys)
        assert code == 0
        assert "cha-cha, Beginners, the routine: holds together, 2 bars." in printed

    def test_a_broken_join_is_named_and_ends_with_1(self, level, capsys):
        basic = self.passage(level, "basic", "closed", "closed")
        alemana = self.passage(level, "alemana", "fan", "closed")
        RoutineFactory(level=level, dances=[basic, alemana])
        printed, code = self.run(capsys)
        assert code == 1
        assert "does not hold together" in printed
        assert "Basic leaves you closed, alemana starts in fan." in printed
        assert "1 routine checked, 1 with a broken join." in printed

    def test_a_routine_that_does_not_go_on_from_the_one_below_is_broken(self, level, capsys):
        below = RoutineFactory(level=level, dances=[self.passage(level, "basic", "closed", "closed")])
        upper = LevelFactory(dance=level.dance, rank=2, name="Improvers")
        above = self.passage(upper, "alemana", "fan", "closed")
        RoutineFactory(level=upper, continues=below, dances=[above])
        printed, code = self.run(capsys, "--json")
        checked = json.loads(printed)
        assert code == 1
        assert [found["from_below"] for found in checked] == [None, "broken"]
        assert "does not go on from the routine" in checked[1]["broken"][0]

    def test_a_figure_above_the_routine_s_level_is_a_note_only(self, level, capsys):
        upper = LevelFactory(dance=level.dance, rank=2, name="Improvers")
        RoutineFactory(level=level, dances=[self.passage(upper, "alemana", "closed", "closed")])
        printed, code = self.run(capsys, "--json")
        assert code == 0
        assert any("alemana is not taught yet" in note.lower() for note in json.loads(printed)[0]["notes"])

    def test_what_the_page_s_report_says_of_joins_and_dead_ends_is_told_too(self, school, capsys):
        waltz = load_dance("waltz")
        waltz.figures["chasse from promenade"].level = waltz.levels[3]
        waltz.figures["chasse from promenade"].save()
        RoutineFactory(level=waltz.levels[1], name="short", dances=[waltz.passages["whisk"]])
        said, _ = self.run(capsys)
        printed, _ = self.run(capsys, "--json")
        checked = {found["routine"]: found for found in json.loads(printed)}
        assert checked["short"]["dead_ends"] == [
            "Whisk ends in promenade, and nothing else taught by then begins there."
        ]
        assert "  Whisk ends in promenade, and nothing else taught by then begins there." in said
        outside = "From in line to partner outside: back lock begins with a step outside the partner."
        (number,) = {note["figure"] for note in checked["waltz 2"]["on_joins"] if note["sentence"] == outside}
        assert checked["waltz 2"]["figures"][number - 1] == "back lock"
        assert f"  Into {number}: {outside}" in said

    def test_its_help_names_every_key_that_is_printed(self, level, capsys):
        RoutineFactory(level=level, dances=[self.passage(level, "basic", "closed", "closed")])
        printed, _ = self.run(capsys, "--json")
        with pytest.raises(SystemExit):
            call_command("check_routines", "--help")
        said = re.findall(r"[a-z_]+", capsys.readouterr().out)
        assert json.loads(printed)[0].keys() <= set(said)
