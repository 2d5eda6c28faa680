"""What a course knows when: recorded so far, then planned; and how far it can dance its routine after each
lesson. Today is Wednesday 4 February 2026: five lessons have been, the sixth is on the 10th."""

import pytest
from django.urls import reverse

from lessons.courses.course_clock import clocks_of, knowledge_of
from lessons.courses.danceable_bars import course_danceable, danceable_note
from lessons.problems.history import read_history
from lessons.problems.reading import read_rows
from school.clock import today
from tests.factories import (
    EnrolmentFactory,
    HoldFactory,
    LevelFactory,
    PassageFactory,
    RecordFactory,
    RoutineFactory,
)
from tests.lessons.planned import planned

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("story_day")]


@pytest.fixture
def made(school):
    """Box was new in lesson 1; turn comes in lesson 6, whisk in 7. The routine dances them in this order."""
    made = planned(status="published")
    made.ways = made.dance("box", "turn", "box", "whisk")
    return made


def knowledge(made):
    return knowledge_of([made.course])[made.course.pk]


class TestTheClock:
    def test_now_is_what_was_recorded(self, made):
        assert knowledge(made).now == {"box"}

    def test_after_a_lesson_to_come_what_is_planned_is_known_too(self, made):
        known = [row.known for row in knowledge(made).after]
        assert known[4] == {"box"}
        assert known[5] == {"box", "turn"}
        assert known[6] == {"box", "turn", "whisk"}

    def test_a_label_says_the_lesson_its_day_and_whether_it_is_planned(self, made):
        after = knowledge(made).after
        assert after[0].label == "after lesson 1, Tuesday 6 January"
        assert after[5].label == "after lesson 6, Tuesday 10 February (planned, may change)"

    def test_a_lesson_that_is_over_without_record_counts_as_planned_and_not_as_taught(self, school):
        made = planned(status="published", recorded=False, figures={"box": 1, "turn": 6})
        RecordFactory(lesson=made.lessons[3])
        found = knowledge(made)
        assert found.now == set()
        assert found.after[0].known == set()
        assert found.after[1].known == {"box"}
        assert found.after[6].known == {"box", "turn"}
        assert found.when["box"] == "planned as new on Tuesday 13 January, not written up yet"
        assert found.unwritten == (made.lessons[1],)
        assert [row.label for row in found.after[:6]] == [
            "after lesson 1, Tuesday 6 January",
            "after lesson 2, Tuesday 13 January (planned, not written up yet)",
            "after lesson 3, Tuesday 20 January (planned, not written up yet)",
            "after lesson 4, Tuesday 27 January (in part planned, not all written up)",
            "after lesson 5, Tuesday 3 February (planned, not written up yet)",
            "after lesson 6, Tuesday 10 February (planned, may change)",
        ]

    def test_once_it_is_written_up_only_its_record_counts(self, school):
        made = planned(status="published", recorded=False, figures={"box": 1, "turn": 6})
        RecordFactory(lesson=made.lessons[1])
        found = knowledge(made)
        assert found.after[10].known == {"turn"}
        assert found.unwritten == ()
        assert found.when["box"] == "planned for lesson 2, Tuesday 13 January, not in its record"

    def test_the_last_part_of_a_figure_must_have_been_too(self, school):
        made = planned(status="published", recorded=False, figures={"box": 1})
        row = made.row("box")
        row.parts = 2
        row.save()
        row.introductions.create(part=2, lesson=made.lessons[7])
        found = knowledge(made)
        assert "box" not in found.after[6].known
        assert "box" in found.after[7].known

    def test_what_is_to_be_finished_later_is_known_after_the_next_lesson(self, school):
        made = planned(status="published", recorded=False, figures={"box": 0, "turn": 6})
        RecordFactory(lesson=made.lessons[0], taught={made.row("box").figure: "finish_later"})
        found = knowledge(made)
        assert "box" not in found.now
        assert "box" in found.after[5].known

    def test_a_figure_in_two_parts_is_known_after_the_second(self, made):
        row = made.row("whisk")
        row.parts = 2
        row.save()
        row.introductions.create(part=1, lesson=made.lessons[7])
        after = knowledge(made).after
        assert "whisk" not in after[6].known
        assert "whisk" in after[7].known

    def test_it_says_when_each_figure_was_or_will_be_taught(self, made):
        assert knowledge(made).when == {
            "box": "taught in lesson 1, Tuesday 6 January",
            "turn": "planned for lesson 6, Tuesday 10 February",
            "whisk": "planned for lesson 7, Tuesday 17 February",
        }

    def test_a_course_that_dances_the_routine_comes_first(self, made, director):
        other = planned(level=made.course.levels.get(), key="A0", figures={})
        found = clocks_of(made.course.routine, director)
        assert [(clock.name, clock.dances_it) for clock in found] == [
            (made.course.name, True),
            (other.course.name, False),
        ]
        assert found[0].night.label.startswith("after lesson 11")

    def test_a_course_of_another_level_has_none(self, made, director):
        planned(level=LevelFactory(dance=made.course.dance), key="A0", figures={})
        assert len(clocks_of(made.course.routine, director)) == 1

    @pytest.mark.parametrize("size", [1, 5])
    def test_it_costs_the_same_for_any_number_of_courses(
        self, made, director, size, django_assert_num_queries
    ):
        level = made.course.levels.get()
        for number in range(size):
            one = planned(level=level, key=f"K{number}", figures={f"figure of {number}": 2})
            one.course.routine = made.course.routine
            one.course.save()
        with django_assert_num_queries(9):
            clocks_of(made.course.routine, director)


class TestTheBars:
    def test_they_grow_with_what_is_known(self, made):
        term = course_danceable(made.course)
        assert [bar.figures for bar in term.bars] == [1, 1, 1, 1, 1, 3, 4, 4, 4, 4, 4]
        assert [bar.is_planned for bar in term.bars] == [False] * 5 + [True] * 6
        assert [bar.as_far_as for bar in term.bars][4:7] == ["box", "box", "whisk"]

    def test_a_bar_is_as_high_as_its_share_of_the_beats(self, made):
        term = course_danceable(made.course)
        assert term.bars[0].height == pytest.approx(term.bars[6].height / 4)
        assert term.bars[6].y + term.bars[6].height == pytest.approx(term.base)

    def test_it_says_when_all_of_it_can_be_danced(self, made):
        assert course_danceable(made.course).sentence == (
            "All of it can be danced after lesson 7, Tuesday 17 February (planned, may change)."
        )

    def test_what_stands_behind_a_broken_join_does_not_count(self, made):
        closed, apart = (HoldFactory(dance=made.course.dance) for _ in range(2))
        for name, way in made.ways.items():
            way.entry_hold, way.exit_hold = closed, apart if name == "turn" else closed
            way.save()
        term = course_danceable(made.course)
        assert term.broken
        assert max(bar.figures for bar in term.bars) == 2
        assert term.sentence == "By the end of term it can be danced as far as turn (2 of 4 figures)."

    def test_a_lesson_not_written_up_counts_as_planned_as_the_planner_counts_it(self, as_director, school):
        made = planned(status="published", recorded=False, figures={"box": 1, "turn": 6})
        made.dance("box", "turn")
        term = course_danceable(made.course)
        assert [bar.figures for bar in term.bars] == [0, 1, 1, 1, 1, 1, 2, 2, 2, 2, 2]
        assert [bar.is_planned for bar in term.bars] == [False] + [True] * 10
        rows = read_rows([made.plan], today=today())[made.plan.pk]
        assert read_history(rows).introduced == {made.row("box").figure_id}
        page = as_director.get(reverse("lessons:course", args=[made.course.pk])).content.decode()
        assert "Not written up yet, so it counts as planned: Tuesday 13 January." in page

    def test_a_course_without_a_routine_has_none(self, school):
        assert course_danceable(planned().course) is None

    @pytest.mark.parametrize("size", [2, 12])
    def test_they_cost_the_same_for_any_number_of_lessons_and_figures(
        self, school, size, django_assert_num_queries
    ):
        made = planned(status="published", lessons=size, figures={f"figure {n}": n for n in range(size)})
        ways = [PassageFactory(figure=row.figure) for row in made.plan.figures.all()]
        made.course.routine = RoutineFactory(level=made.course.levels.get(), dances=ways * 3)
        made.course.save()
        with django_assert_num_queries(10):
            course_danceable(made.course)

    def test_the_course_page_draws_them_and_says_the_same(self, as_director, made):
        page = as_director.get(reverse("lessons:course", args=[made.course.pk])).content.decode()
        assert page.count('class="recorded" x=') == 5
        assert page.count('class="planned" x=') == 6
        assert "(3 of 4 figures, 12 of 16 beats)" in page

    def test_a_student_reads_them_on_the_routine_of_an_own_course(self, client, made, student):
        assert danceable_note(made.course.routine, student) is None
        EnrolmentFactory(course=made.course, person=student)
        client.force_login(student)
        page = client.get(reverse("curriculum:routine", args=[made.course.routine_id])).content.decode()
        assert "What can be danced after each lesson" in page
        assert "All of it can be danced after lesson 7" in page
