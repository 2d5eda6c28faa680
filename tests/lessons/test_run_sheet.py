"""Tonight's run-sheet from the published plan and the record."""

import datetime as dt

import pytest

from lessons.models import CourseKind, LessonSession, LessonShape, PlanReview, RecordedFigure
from lessons.run_sheet.fitted import run_sheet
from tests.factories import (
    CourseFactory,
    FigureFactory,
    LessonFactory,
    PassageFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    RoutineFactory,
)

TONIGHT = dt.date(2026, 1, 20)


@pytest.fixture(autouse=True)
def third_week(settings, school):
    settings.TODAY = TONIGHT.isoformat()


@pytest.fixture
def course():
    return CourseFactory()


def figure(course, name, **fields):
    return FigureFactory(level=course.levels.get(), name=name, **fields)


def again(plan, figure, lesson, introduced):
    PlanFigureFactory(plan=plan, figure=figure, new_in=introduced, again_in=[lesson])


def titles(sheet):
    return [row.segment.title for row in sheet.rows]


def fetched(lesson):
    return LessonSession.objects.get(pk=lesson.pk)


def test_the_sheet_runs_from_arrival_to_close_on_the_wall_clock(course, lessons, plan):
    box, whisk = figure(course, "box step"), figure(course, "whisk", minutes_to_introduce=15)
    RecordFactory(lesson=lessons[1], taught={box: "introduced"})
    again(plan, box, lessons[2], lessons[1])
    PlanFigureFactory(plan=plan, figure=whisk, new_in=lessons[2])

    sheet = run_sheet(fetched(lessons[2]))

    assert titles(sheet) == [
        "Arrive and register",
        "Warm-up",
        "Last time",
        "Again: box step",
        "New: whisk",
        "Practice to music",
        "Close and notices",
    ]
    assert sheet.rows[0].starts == dt.time(19, 30)
    assert sheet.rows[-1].ends == dt.time(20, 30)
    assert sum(row.minutes for row in sheet.rows) == 60
    assert all(
        earlier.ends == later.starts for earlier, later in zip(sheet.rows, sheet.rows[1:], strict=False)
    )


def test_a_lesson_across_midnight_keeps_its_wall_clock(course):
    late = LessonFactory(course=course, date=TONIGHT, start=dt.time(23, 30))
    assert run_sheet(late).rows[-1].ends == dt.time(0, 30)


def test_last_time_says_what_the_last_record_did(course, lessons, plan):
    box, change = figure(course, "box step"), figure(course, "closed change")
    record = RecordFactory(lesson=lessons[1], taught={box: "introduced", change: "finish_later"})
    RecordedFigure.objects.filter(record=record, figure=box).update(went="shaky")
    recap = next(row for row in run_sheet(fetched(lessons[2])).rows if row.kind == "recap")
    assert recap.says == ("New was box step (shaky).", "Not finished: closed change.")


def test_a_figure_left_unfinished_is_carried_over_with_the_minutes_still_owed(course, lessons, plan):
    change = figure(course, "closed change", minutes_to_introduce=20)
    record = RecordFactory(lesson=lessons[1], taught={change: "finish_later"})
    RecordedFigure.objects.filter(record=record).update(minutes_owed=7)
    tonight, after = run_sheet(fetched(lessons[2])), run_sheet(fetched(lessons[3]))
    row = next(row for row in tonight.rows if row.kind == "carry")
    assert row.segment.title == "Carry over: closed change"
    assert row.minutes >= 7
    assert "carry" not in [row.kind for row in after.rows]


def test_where_the_record_names_no_minutes_half_of_them_are_owed(course, lessons, plan):
    RecordFactory(
        lesson=lessons[1], taught={figure(course, "change", minutes_to_introduce=20): "finish_later"}
    )
    assert [item.minutes for item in run_sheet(fetched(lessons[2])).figures] == [10]


def test_what_was_finished_since_is_not_carried_over(course, lessons, plan):
    change = figure(course, "closed change")
    RecordFactory(lesson=lessons[0], taught={change: "finish_later"})
    RecordFactory(lesson=lessons[1], taught={change: "introduced"})
    assert run_sheet(fetched(lessons[2])).figures == ()


def test_a_figure_planned_but_taught_earlier_is_left_out_and_named(course, lessons, plan):
    whisk = figure(course, "whisk")
    PlanFigureFactory(plan=plan, figure=whisk, new_in=lessons[2])
    RecordFactory(lesson=lessons[0], taught={whisk: "introduced"})
    sheet = run_sheet(fetched(lessons[2]))
    assert "New: whisk" not in titles(sheet)
    assert (
        "whisk is planned as new, but was taught on Tuesday 6 January already. It is left out." in sheet.notes
    )


def test_new_figures_of_one_evening_come_after_what_they_need(course, lessons, plan):
    whisk = figure(course, "whisk", order=20)
    chasse = figure(course, "chasse from promenade", order=10, needs=[whisk])
    for needed in (whisk, chasse):
        PlanFigureFactory(plan=plan, figure=needed, new_in=lessons[2])
    assert [item.key for item in run_sheet(fetched(lessons[2])).figures] == ["whisk", "chasse from promenade"]


def test_the_routine_is_danced_as_far_as_it_was_recorded(course, lessons, plan):
    box, whisk = figure(course, "box step"), figure(course, "whisk")
    course.routine = RoutineFactory(
        level=course.levels.get(), dances=[PassageFactory(figure=box), PassageFactory(figure=whisk)]
    )
    course.save()
    RecordFactory(lesson=lessons[1], taught={box: "introduced"})
    again(plan, box, lessons[2], lessons[1])
    sheet = run_sheet(fetched(lessons[2]))
    routine = next(row for row in sheet.rows if row.kind == "routine")
    assert routine.says == (
        "We can dance as far as box step: 1 of 2.",
        "Comes again by dancing it: box step.",
    )
    assert "Again: box step" not in titles(sheet)


def test_what_is_only_planned_is_not_danceable(course, lessons, plan):
    whisk = figure(course, "whisk")
    course.routine = RoutineFactory(level=course.levels.get(), dances=[PassageFactory(figure=whisk)])
    course.save()
    PlanFigureFactory(plan=plan, figure=whisk, new_in=lessons[1])
    sheet = run_sheet(fetched(lessons[2]))
    assert sheet.reach.sentence == "None of the routine can be danced yet."
    assert "routine" not in [row.kind for row in sheet.rows]


def test_without_a_published_plan_there_is_a_sheet_and_it_says_so(course, lessons):
    PlanFigureFactory(plan=PlanFactory(course=course), figure=figure(course, "whisk"), new_in=lessons[2])
    sheet = run_sheet(fetched(lessons[2]))
    assert "This course has no published plan, so the sheet names no figures." in sheet.notes
    assert sheet.figures == ()
    assert sum(row.minutes for row in sheet.rows) == 60


def test_twenty_minutes_name_what_to_leave_out_and_still_fit(course, plan):
    short = LessonFactory(course=course, date=TONIGHT, minutes=20)
    PlanFigureFactory(plan=plan, figure=figure(course, "whisk", minutes_to_introduce=15), new_in=short)
    sheet = run_sheet(short)
    assert sum(row.minutes for row in sheet.rows) == 20
    assert sheet.too_short.startswith("The lesson is 2 minutes too short for all of this")
    assert "Practice to music" in sheet.too_short


def test_with_the_routine_what_is_danced_in_it_falls_out_and_is_named(course, lessons, plan):
    box = figure(course, "box step")
    course.routine = RoutineFactory(level=course.levels.get(), dances=[PassageFactory(figure=box)])
    course.save()
    RecordFactory(lesson=lessons[1], taught={box: "introduced"})
    again(plan, box, lessons[2], lessons[1])
    LessonSession.objects.filter(pk=lessons[2].pk).update(minutes=12)
    said = run_sheet(fetched(lessons[2])).too_short
    assert said.endswith("What was to come again by dancing the routine falls out: box step.")


def test_an_empty_last_lesson_gives_its_minutes_to_practice_and_says_so(course, lessons, plan):
    sheet = run_sheet(fetched(lessons[3]))
    assert "The last lesson of the term: nothing new, dance through what you know." in sheet.notes
    assert sheet.too_long.startswith("28 minutes are left over")
    assert sum(row.minutes for row in sheet.rows) == 60


def test_a_cancelled_lesson_holds_nothing(course, lessons, plan):
    lessons[2].cancelled_at = dt.datetime(2026, 1, 19, 12, tzinfo=dt.UTC)
    lessons[2].save()
    assert run_sheet(fetched(lessons[2])).rows == ()


def test_a_drop_in_evening_presupposes_nothing_of_last_week(course, lessons, plan):
    course.kind = CourseKind.DROP_IN
    course.save()
    RecordFactory(lesson=lessons[1], taught={figure(course, "box step"): "introduced"})
    assert "recap" not in [row.kind for row in run_sheet(fetched(lessons[2])).rows]


def test_the_schools_default_shape_serves_a_course_without_its_own(course, lessons, plan):
    LessonShape.objects.filter(pk=course.shape_id).update(is_default=True)
    course.shape = None
    course.save()
    assert [row.kind for row in run_sheet(fetched(lessons[2])).rows] == [
        "arrive",
        "warm_up",
        "practice",
        "close",
    ]


def test_an_hour_and_more_wants_a_rest(course):
    long = LessonFactory(course=course, date=TONIGHT, minutes=75)
    assert run_sheet(long).wants_rest


NO_RECORD = "whisk is planned again, but no record says it was taught."


def test_a_figure_whose_lesson_has_passed_without_being_recorded_is_warned_of(course, lessons, plan):
    again(plan, figure(course, "whisk"), lessons[2], introduced=lessons[1])
    said = "whisk was planned as new on Tuesday 13 January, not written up yet; it comes again here."
    assert said in run_sheet(fetched(lessons[2])).notes
    RecordFactory(lesson=lessons[1])
    assert said not in run_sheet(fetched(lessons[2])).notes
    assert NO_RECORD in run_sheet(fetched(lessons[2])).notes


def test_a_figure_whose_lesson_is_still_to_come_is_not(course, lessons, plan):
    again(plan, figure(course, "whisk"), lessons[3], introduced=lessons[2])
    assert NO_RECORD not in run_sheet(fetched(lessons[3])).notes
    RecordFactory(lesson=lessons[2])
    assert NO_RECORD in run_sheet(fetched(lessons[3])).notes


@pytest.mark.parametrize("figures", [4, 12])
def test_the_sheet_costs_the_same_whatever_the_size(
    course, lessons, plan, figures, django_assert_max_num_queries
):
    below = [figure(course, f"figure {number}") for number in range(figures)]
    for number, each in enumerate(below):
        PlanFigureFactory(
            plan=plan,
            figure=each,
            new_in=lessons[2 if number % 2 else 0],
            again_in=[lessons[3 if number % 2 else 2]],
        )
    RecordFactory(lesson=lessons[0], taught=dict.fromkeys(below[::2], "introduced"))
    course.routine = RoutineFactory(
        level=course.levels.get(), dances=[PassageFactory(figure=each) for each in below]
    )
    course.save()
    assert PlanReview.objects.count() == figures
    with django_assert_max_num_queries(22) as queries:
        run_sheet(fetched(lessons[2]))
    assert len(queries) == 22
