"""A course's rows as the planner reads them: room, demands, history, and where everything stands."""

import datetime as dt

import pytest

from curriculum.models import Prerequisite
from lessons.models import (
    Milestone,
    PlanBar,
    PlanFigure,
    PlanIntroduction,
    PlanSet,
    RecordedFigure,
    TaughtBefore,
)
from lessons.planners.term import FigureToTeach, Review, check_plan
from lessons.problems import course_problem, findings, placements, teaching_minutes, write_placements
from tests.factories import (
    CourseFactory,
    FigureFactory,
    LessonShapeFactory,
    LevelFactory,
    PassageFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    RoutineFactory,
    weekly_lessons,
)

pytestmark = pytest.mark.django_db

BEFORE_THE_TERM = dt.date(2026, 1, 1)


@pytest.fixture(autouse=True)
def before_the_term(settings):
    settings.TODAY = BEFORE_THE_TERM.isoformat()


@pytest.fixture
def level():
    return LevelFactory(rank=2, most_new=2)


@pytest.fixture
def course(level):
    return CourseFactory(level=level)


@pytest.fixture
def lessons(course):
    """Six Tuesdays from 6 January 2026."""
    return weekly_lessons(course, 6)


@pytest.fixture
def plan(course, lessons):
    return PlanFactory(course=course)


def put(plan, name, **fields):
    """A figure of the course's level, in the plan."""
    demands = {key: fields.pop(key) for key in list(fields) if key in DEMANDS}
    figure = FigureFactory(level=plan.course.levels.get(), name=name, **fields)
    return PlanFigureFactory(plan=plan, figure=figure, **demands)


DEMANDS = ("new_in", "again_in", "pinned", "earliest", "latest", "required", "importance", "parts")


def read(plan, *, after=None):
    """The problem on the morning after a lesson, or before the term."""
    return course_problem(plan, today=after.date + dt.timedelta(days=1) if after else BEFORE_THE_TERM)


def figure(read_problem, name) -> FigureToTeach:
    return next(figure for figure in read_problem.problem.figures if figure.key == name)


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


def cancel(lesson):
    lesson.cancelled_at = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)
    lesson.save()


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


class TestHistory:
    def test_a_recorded_lesson_settles_what_it_taught_and_danced_again(self, plan, lessons):
        fan, basic = put(plan, "fan"), put(plan, "basic")
        RecordFactory(lesson=lessons[0], taught={basic.figure: "introduced"})
        RecordFactory(lesson=lessons[1], taught={fan.figure: "introduced", basic.figure: "reviewed"})
        slots = read(plan, after=lessons[1]).problem.lessons
        assert [slot.taught for slot in slots[:3]] == [{"basic"}, {"fan"}, None]
        assert slots[1].reviewed == {"basic"}

    def test_a_figure_not_reached_is_still_to_come(self, plan, lessons):
        fan = put(plan, "fan", new_in=lessons[0])
        RecordFactory(lesson=lessons[0], taught={fan.figure: "not_reached"})
        problem = read(plan, after=lessons[0])
        assert problem.problem.lessons[0].taught == frozenset()
        assert placements(problem)[0] == {}
        assert problem.notes == ("fan was planned for Tuesday 6 January and was not taught: place it anew.",)

    def test_today_s_lesson_is_still_to_come_until_it_is_recorded(self, plan, lessons):
        assert course_problem(plan, today=lessons[0].date).first_to_come == 0
        RecordFactory(lesson=lessons[0])
        assert course_problem(plan, today=lessons[0].date).first_to_come == 1

    def test_a_past_lesson_without_record_counts_as_taught_as_published_and_is_named(self, plan, lessons):
        fan = put(plan, "fan", new_in=lessons[0])
        plan.status = "published"
        plan.save()
        draft = PlanFactory(course=plan.course)
        PlanFigureFactory(plan=draft, figure=fan.figure)
        problem = read(draft, after=lessons[0])
        assert problem.problem.lessons[0].taught == {"fan"}
        assert placements(problem)[0] == {"fan": 0}
        assert problem.notes == (
            "The lesson of Tuesday 6 January has no record: for planning it counts as taught as planned.",
        )

    def test_what_a_draft_planned_for_a_past_lesson_without_record_was_not_taught(self, plan, lessons):
        put(plan, "fan", new_in=lessons[0])
        assert read(plan, after=lessons[0]).problem.lessons[0].taught == frozenset()

    def test_a_lesson_without_record_between_recorded_ones_leaves_no_gap(self, plan, lessons):
        for lesson in (lessons[0], lessons[2]):
            RecordFactory(lesson=lesson)
        taught = [slot.taught for slot in read(plan, after=lessons[2]).problem.lessons]
        assert taught == [frozenset()] * 3 + [None] * 3

    def test_what_was_taught_beside_the_plan_is_known_from_then_on(self, plan, lessons, level):
        fan = put(plan, "fan")
        extra = FigureFactory(level=level, name="New York")
        Prerequisite.objects.create(figure=fan.figure, needs=extra)
        RecordFactory(lesson=lessons[0], taught={extra: "introduced"})
        problem = read(plan, after=lessons[0])
        assert "New York" in problem.problem.known
        assert problem.notes == ()

    def test_a_pin_that_was_overtaken_means_from_now_on(self, plan, lessons):
        put(plan, "fan", pinned=lessons[0], required=False)
        RecordFactory(lesson=lessons[0])
        problem = read(plan, after=lessons[0])
        assert figure(problem, "fan").pinned is None
        assert figure(problem, "fan").required
        assert problem.notes == (
            "fan was kept in the lesson of Tuesday 6 January and was not taught: it may come from now on.",
        )

    def test_a_latest_that_was_overtaken_means_from_now_on(self, plan, lessons):
        put(plan, "fan", latest=lessons[0])
        RecordFactory(lesson=lessons[0])
        problem = read(plan, after=lessons[0])
        assert figure(problem, "fan").latest is None
        assert problem.notes == (
            "fan was to come by Tuesday 6 January and has not been taught: it may come from now on.",
        )

    def test_a_pin_that_was_met_says_nothing(self, plan, lessons):
        fan = put(plan, "fan", pinned=lessons[0], new_in=lessons[0])
        RecordFactory(lesson=lessons[0], taught={fan.figure: "introduced"})
        problem = read(plan, after=lessons[0])
        assert problem.notes == ()
        assert findings_of(problem) == ()

    def test_a_pin_to_a_lesson_that_fell_out_is_let_go_and_named(self, plan, lessons):
        put(plan, "fan", pinned=lessons[2])
        cancel(lessons[2])
        problem = read(plan)
        assert figure(problem, "fan").pinned is None
        assert problem.notes == (
            "fan was kept in the lesson of Tuesday 20 January, which falls out: it may come elsewhere.",
        )


def findings_of(problem):
    return check_plan(problem.problem, *placements(problem))


class TestFinishingLater:
    def test_the_record_says_how_many_minutes_are_owed(self, plan, lessons):
        fan = put(plan, "fan", minutes_to_introduce=20)
        begun(lessons[0], fan.figure, owed=7)
        problem = read(plan, after=lessons[0])
        assert problem.problem.unfinished == {"fan": 7}
        assert placements(problem)[0] == {"fan": 1}

    @pytest.mark.parametrize(
        ("parts", "evenings", "owed"), [(1, 1, 10), (2, 1, 10), (3, 1, 13), (3, 2, 6), (1, 2, 6)]
    )
    def test_otherwise_the_minutes_less_an_even_share_for_each_evening(
        self, plan, lessons, parts, evenings, owed
    ):
        """20 minutes in two parts are 10 + 10, in three 7 + 7 + 6."""
        fan = put(plan, "fan", minutes_to_introduce=20, parts=parts)
        for lesson in lessons[:evenings]:
            begun(lesson, fan.figure)
        assert read(plan, after=lessons[evenings - 1]).problem.unfinished == {"fan": owed}

    def test_the_lesson_that_finishes_a_figure_does_not_go_over_it_again_as_well(self, plan, lessons):
        fan = put(plan, "fan", new_in=lessons[0], again_in=[lessons[1], lessons[2]])
        begun(lessons[0], fan.figure, owed=7)
        reviews = placements(read(plan, after=lessons[0]))[1]
        assert [review.index for review in reviews] == [2]

    def test_what_was_finished_later_is_owed_no_more(self, plan, lessons):
        fan = put(plan, "fan")
        begun(lessons[0], fan.figure)
        RecordFactory(lesson=lessons[1], taught={fan.figure: "introduced"})
        problem = read(plan, after=lessons[1])
        assert problem.problem.unfinished == {}
        assert problem.problem.lessons[1].taught == {"fan"}

    def test_the_first_part_in_a_past_lesson_without_record_counts_as_given(self, plan, lessons):
        fan = put(plan, "fan", minutes_to_introduce=15, parts=2, new_in=lessons[0])
        PlanIntroduction.objects.create(plan_figure=fan, lesson=lessons[1], part=1)
        plan.status = "published"
        plan.save()
        assert read(plan, after=lessons[0]).problem.unfinished == {"fan": 7}


def begun(lesson, figure, owed=None):
    record = RecordFactory(lesson=lesson)
    RecordedFigure.objects.create(record=record, figure=figure, outcome="finish_later", minutes_owed=owed)


class TestPrevious:
    def test_a_draft_in_mid_term_is_to_move_little_of_the_published_plan(self, plan, lessons):
        fan, basic = put(plan, "fan", new_in=lessons[3]), put(plan, "basic", new_in=lessons[0])
        plan.status = "published"
        plan.save()
        draft = PlanFactory(course=plan.course)
        for row in (fan, basic):
            PlanFigureFactory(plan=draft, figure=row.figure)
        RecordFactory(lesson=lessons[0], taught={basic.figure: "introduced"})
        assert read(draft, after=lessons[0]).problem.previous == {"fan": 3}

    def test_before_the_term_nothing_is_held_to(self, plan, lessons):
        put(plan, "fan", new_in=lessons[3])
        plan.status = "published"
        plan.save()
        assert read(PlanFactory(course=plan.course)).problem.previous is None


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
