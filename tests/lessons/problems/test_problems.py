"""A course's rows as the planner reads them: room, demands and milestones."""

import pytest

from curriculum.models import Prerequisite
from lessons.models import (
    Milestone,
    PlanBar,
    PlanSet,
    TaughtBefore,
)
from lessons.problems import placements, teaching_minutes
from tests.factories import (
    CourseFactory,
    FigureFactory,
    LessonShapeFactory,
    LevelFactory,
    PassageFactory,
    RecordFactory,
    RoutineFactory,
    weekly_lessons,
)
from tests.lessons.problems.rows import cancel, figure, put, read

pytestmark = pytest.mark.django_db


class TestRoom:
    def test_room_is_what_other_segments_leave_at_their_least(self, plan, lessons):
        """60 minutes less arrive 2, warm-up 4, last time 5, routine 5, practice 4, close 2."""
        assert read(plan).problem.lessons[0].minutes == 38

    def test_a_shape_fuller_than_the_lesson_leaves_no_room(self, lessons):
        shape = LessonShapeFactory(segments=[("practice", 90, 90, 90)])
        assert teaching_minutes(lessons[0], shape) == 0

    def test_without_a_shape_the_school_s_own_is_used_and_else_the_whole_hour(self, plan, course):
        course.shape = None
        course.save()
        assert read(plan).problem.lessons[0].minutes == 60
        LessonShapeFactory(is_default=True)
        assert read(plan).problem.lessons[0].minutes == 38

    def test_the_level_says_how_many_new_figures_an_evening_takes_unless_the_course_does(self, plan, course):
        assert read(plan).problem.lessons[0].max_new == 2
        course.most_new = 3
        course.save()
        assert read(plan).problem.lessons[0].max_new == 3

    def test_nothing_new_in_the_last_lesson_unless_the_course_says_so(self, plan, course):
        assert [slot.max_new for slot in read(plan).problem.lessons] == [2, 2, 2, 2, 2, 0]
        course.new_in_last_lesson = True
        course.save()
        assert read(plan).problem.lessons[-1].max_new == 2

    @pytest.mark.parametrize("kind", ["revision", "practice", "showcase", "test"])
    def test_nothing_new_on_evenings_of_another_kind(self, plan, lessons, kind):
        lessons[1].kind = kind
        lessons[1].save()
        assert [slot.max_new for slot in read(plan).problem.lessons][:3] == [2, 0, 2]

    def test_a_cancelled_lesson_is_not_in_the_problem(self, plan, lessons):
        cancel(lessons[2])
        problem = read(plan)
        assert problem.lessons == (*lessons[:2], *lessons[3:])
        assert [slot.index for slot in problem.problem.lessons] == [0, 1, 2, 3, 4]


class TestDemands:
    def test_figures_come_in_syllabus_order_with_their_minutes(self, plan):
        put(plan, "later", order=20)
        put(plan, "sooner", order=10, minutes_to_introduce=14, minutes_to_review=5)
        problem = read(plan).problem
        assert [(f.key, f.order) for f in problem.figures] == [("sooner", 0), ("later", 1)]
        assert (problem.figures[0].minutes, problem.figures[0].review_minutes) == (14, 5)

    def test_lessons_become_indices(self, plan, lessons):
        put(plan, "fan", pinned=lessons[3], earliest=lessons[1], latest=lessons[4], parts=2, importance=5)
        fan = figure(read(plan), "fan")
        assert (fan.pinned, fan.earliest, fan.latest, fan.parts, fan.importance) == (3, 1, 4, 2, 5)

    def test_bars_and_sets_come_along(self, plan, lessons):
        rows = [put(plan, name) for name in ("fan", "alemana", "chase")]
        PlanBar.objects.create(plan_figure=rows[0], lesson=lessons[2])
        PlanSet.objects.create(plan=plan, kind="together").figures.set(rows[:2])
        PlanSet.objects.create(plan=plan, kind="apart").figures.set(rows[1:])
        problem = read(plan).problem
        assert figure(read(plan), "fan").barred == {2}
        assert problem.together == (frozenset({"fan", "alemana"}),)
        assert problem.apart == (frozenset({"alemana", "chase"}),)

    def test_a_need_inside_the_plan_binds(self, plan):
        whisk, chasse, fan = (put(plan, name) for name in ("whisk", "chasse", "fan"))
        Prerequisite.objects.create(figure=chasse.figure, needs=whisk.figure, same_evening=True)
        Prerequisite.objects.create(figure=fan.figure, needs=whisk.figure)
        problem = read(plan)
        assert figure(problem, "chasse").after == {"whisk"}
        assert figure(problem, "fan").needs == {"whisk"}

    def test_a_need_of_a_lower_level_is_known(self, plan, level):
        fan = put(plan, "fan")
        below = FigureFactory(level=LevelFactory(dance=level.dance, rank=1), name="basic")
        Prerequisite.objects.create(figure=fan.figure, needs=below)
        problem = read(plan)
        assert "basic" in problem.problem.known
        assert problem.notes == ()

    def test_a_need_that_the_plan_leaves_out_is_taken_as_known_and_named(self, plan, level):
        fan = put(plan, "fan")
        Prerequisite.objects.create(figure=fan.figure, needs=FigureFactory(level=level, name="open basic"))
        problem = read(plan)
        assert "open basic" in problem.problem.known
        assert problem.notes == ("fan needs open basic, which is not in this plan: it is taken as known.",)

    def test_a_figure_known_already_is_not_planned(self, plan, course):
        fan = put(plan, "fan")
        TaughtBefore.objects.create(course=course, figure=fan.figure)
        problem = read(plan)
        assert problem.problem.figures == ()
        assert problem.notes == ("fan is known already and is not planned again.",)

    def test_what_the_continued_course_recorded_is_known(self, plan, course, level):
        fan = put(plan, "fan")
        before = CourseFactory(level=level, term=course.term)
        RecordFactory(lesson=weekly_lessons(before, 1)[0], taught={fan.figure: "introduced"})
        course.continues = before
        course.save()
        assert "fan" in read(plan).problem.known

    def test_what_the_routine_dances_comes_again_in_a_minute(self, plan, course, level):
        danced, not_danced = put(plan, "fan"), put(plan, "alemana")
        course.routine = RoutineFactory(level=level, dances=[PassageFactory(figure=danced.figure), None])
        course.save()
        problem = read(plan)
        assert figure(problem, danced.figure.name).review_minutes == 1
        assert figure(problem, not_danced.figure.name).review_minutes == 4

    def test_a_lesson_that_fell_out_stands_for_its_neighbour(self, plan, lessons):
        put(plan, "fan", earliest=lessons[2], latest=lessons[2])
        cancel(lessons[2])
        fan = figure(read(plan), "fan")
        assert (fan.earliest, fan.latest) == (2, 1)


class TestMilestones:
    def test_a_milestone_asks_for_its_figures_by_its_day(self, plan, course, lessons):
        fan = put(plan, "fan", required=False, parts=2)
        stone = Milestone.objects.create(course=course, name="Spring party", day=lessons[3].date)
        stone.figures.add(fan.figure)
        asked = figure(read(plan), "fan")
        assert asked.required
        assert asked.latest == 2, "its second part stands in the lesson of the day itself"

    def test_a_milestone_asks_for_the_figures_of_its_routine(self, plan, course, lessons, level):
        fan = put(plan, "fan", required=False)
        routine = RoutineFactory(level=level, dances=[PassageFactory(figure=fan.figure)])
        Milestone.objects.create(course=course, name="Party", day=lessons[1].date, routine=routine)
        assert figure(read(plan), "fan").latest == 1

    def test_a_milestone_never_loosens_a_demand(self, plan, course, lessons):
        fan = put(plan, "fan", latest=lessons[1])
        stone = Milestone.objects.create(course=course, name="Party", day=lessons[4].date)
        stone.figures.add(fan.figure)
        assert figure(read(plan), "fan").latest == 1

    def test_what_a_milestone_asks_for_and_the_plan_does_not_teach_is_named(
        self, plan, course, lessons, level
    ):
        stone = Milestone.objects.create(course=course, name="Party", day=lessons[4].date)
        stone.figures.add(FigureFactory(level=level, name="spiral"))
        (note,) = read(plan).notes
        assert note == "Party on Tuesday 3 February asks for spiral, which this plan does not teach."

    def test_a_milestone_that_has_passed_becomes_from_now_on(self, plan, course, lessons):
        fan = put(plan, "fan", required=False)
        stone = Milestone.objects.create(course=course, name="Party", day=lessons[1].date)
        stone.figures.add(fan.figure)
        for lesson in lessons[:2]:
            RecordFactory(lesson=lesson)
        problem = read(plan, after=lessons[1])
        assert figure(problem, "fan").latest is None
        assert figure(problem, "fan").required
        assert problem.notes == ("Party was on Tuesday 13 January: fan may come from now on.",)


@pytest.mark.parametrize("figures", [2, 12])
def test_reading_takes_the_same_number_of_queries_for_any_size(
    plan, course, lessons, figures, django_assert_num_queries
):
    before = None
    for number in range(figures):
        row = put(plan, f"figure number {number}", new_in=lessons[number % 5], again_in=[lessons[5]])
        PlanBar.objects.create(plan_figure=row, lesson=lessons[0])
        if before is not None:
            Prerequisite.objects.create(figure=row.figure, needs=before.figure)
        before = row
        if number < 6:
            RecordFactory(lesson=lessons[number], taught={row.figure: "introduced"})
        stone = Milestone.objects.create(course=course, name=f"stone {number}", day=lessons[4].date)
        stone.figures.add(row.figure)
    with django_assert_num_queries(18):
        placements(read(plan, after=lessons[1]))
