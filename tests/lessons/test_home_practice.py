"""Ten minutes at home: what is practised, for how long and why; and the page that shows it."""

import datetime as dt

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from curriculum.models import Caution, ChartStep, StepChart
from lessons.models import Attendance, OwnMark, OwnNote
from lessons.rules.home_practice import MINUTES, PACE, TaughtFigure, Why, ten_minutes
from tests.factories import (
    CourseFactory,
    FigureFactory,
    LevelFactory,
    PassageFactory,
    PrivateLessonFactory,
    RecordFactory,
    RoutineFactory,
    weekly_lessons,
)

TODAY = dt.date(2026, 3, 4)


def days_ago(*days):
    return tuple(TODAY - dt.timedelta(days=day) for day in days)


def practise(*figures, has_routine=False):
    return ten_minutes(figures, today=TODAY, has_routine=has_routine)


def figures_of(steps):
    return [(step.key, step.why) for step in steps if step.kind == "figure"]


class TestWhatIsPractised:
    def test_what_was_new_this_week_comes_first_then_what_one_cannot_yet_then_what_is_due(self):
        steps = practise(
            TaughtFigure("due", days_ago(40, 30)),
            TaughtFigure("cannot", days_ago(20, 8), mark="not_yet"),
            TaughtFigure("new", days_ago(6)),
            TaughtFigure("danced yesterday", days_ago(30, 20, 1)),
        )
        assert figures_of(steps) == [("new", Why.FRESH), ("cannot", Why.NOT_YET), ("due", Why.DUE)]

    @pytest.mark.parametrize(
        ("danced", "mark", "why"),
        [
            ((8,), "", Why.DUE),
            ((21, 13), "", Why.AGAIN),
            ((28, 14), "", Why.DUE),
            ((60, 40, 27), "", Why.AGAIN),
            ((60, 40, 28), "", Why.DUE),
            ((28, 14), "easy", Why.AGAIN),
            ((50, 28), "easy", Why.DUE),
            ((20, 7), "thinking", Why.DUE),
            ((20, 6), "thinking", Why.AGAIN),
        ],
    )
    def test_a_figure_is_due_after_one_two_and_four_weeks_and_a_mark_moves_that(self, danced, mark, why):
        assert figures_of(practise(TaughtFigure("it", days_ago(*danced), mark))) == [("it", why)]

    def test_of_two_that_are_due_the_longer_overdue_comes_first(self):
        steps = practise(
            TaughtFigure("a bit", days_ago(9), order=1), TaughtFigure("long", days_ago(15), order=2)
        )
        assert [key for key, _ in figures_of(steps)] == ["long", "a bit"]

    def test_equals_keep_the_order_of_the_syllabus(self):
        rows = [TaughtFigure(name, days_ago(7), order=place) for place, name in enumerate("cab")]
        assert [key for key, _ in figures_of(practise(*reversed(rows)))] == ["c", "a", "b"]

    def test_what_one_never_saw_is_left_alone(self):
        assert practise(TaughtFigure("missed", (), mark="not_yet")) == ()

    def test_with_nothing_but_a_routine_the_routine_is_danced(self):
        steps = practise(has_routine=True)
        assert [(step.kind, step.minutes) for step in steps] == [("warm_up", 1), ("routine", 8), ("close", 1)]

    @given(
        st.lists(
            st.builds(
                TaughtFigure,
                key=st.integers(),
                danced=st.lists(st.integers(0, 200), min_size=1).map(lambda days: days_ago(*days)),
                mark=st.sampled_from(sorted(PACE)),
                order=st.integers(0, 50),
            ),
            unique_by=lambda figure: figure.key,
        ),
        st.booleans(),
    )
    def test_whatever_was_taught_it_is_ten_whole_minutes_without_a_gap(self, figures, has_routine):
        steps = ten_minutes(figures, today=TODAY, has_routine=has_routine)
        if not steps:
            assert not figures
            assert not has_routine
            return
        assert sum(step.minutes for step in steps) == MINUTES
        assert all(step.minutes >= 1 for step in steps)
        ends = 0
        for step in steps:
            assert step.start == ends
            ends += step.minutes
        chosen = [step.minutes for step in steps if step.kind == "figure"]
        assert len(chosen) == min(len(figures), 3)
        assert not chosen or max(chosen) - min(chosen) <= 1
        assert steps == ten_minutes(reversed(figures), today=TODAY, has_routine=has_routine) or len(
            {figure.order for figure in figures}
        ) < len(figures)


@pytest.fixture
def course(school, settings):
    settings.TODAY = TODAY.isoformat()
    return CourseFactory(level=LevelFactory(rank=1))


@pytest.fixture
def lessons(course):
    return weekly_lessons(course, 8)


def figure_named(course, name, *, counts="1 2 3"):
    figure = FigureFactory(level=course.levels.get(), name=name)
    chart = StepChart.objects.create(figure=figure)
    for role in "LF":
        for place, count in enumerate(counts.split()):
            ChartStep.objects.create(
                chart=chart,
                role=role,
                position=place,
                count=count,
                ticks=12,
                foot="LR"[place % 2],
                action="step",
            )
    PassageFactory(figure=figure, chart=chart, ticks=12 * len(counts.split()))
    return figure


def taught(lesson, person, **what):
    record = RecordFactory(lesson=lesson, taught=what.pop("figures"))
    if person:
        Attendance.objects.create(record=record, person=person, role="F")
    return record


def address(course):
    return reverse("lessons:at-home", args=[course.pk])


def practice(client, course):
    return client.get(address(course)).context["practice"]


def names(shown):
    return [part.figure.name for part in shown.parts if part.figure]


def test_only_what_was_recorded_in_lessons_one_was_in_is_practised(as_student, student, course, lessons):
    seen, missed, begun = (figure_named(course, name) for name in ("whisk", "lock", "spin"))
    taught(lessons[0], student, figures={seen: "introduced", begun: "finish_later"})
    taught(lessons[1], None, figures={missed: "introduced"})
    assert names(practice(as_student, course)) == ["whisk"]


def test_what_was_learnt_in_a_private_lesson_is_practised_too(as_student, student, course, lessons):
    whisk = figure_named(course, "whisk")
    PrivateLessonFactory(person=student, date=TODAY - dt.timedelta(days=3), worked_on={whisk: "introduced"})
    assert names(practice(as_student, course)) == ["whisk"]
    assert "First danced on Sunday 1 March" in as_student.get(address(course)).content.decode()


def test_charts_show_the_role_one_dances_here_unless_one_chose_another(as_student, student, course, lessons):
    taught(lessons[0], student, figures={figure_named(course, "whisk"): "introduced"})
    assert practice(as_student, course).role == "follower"
    for chosen, shown in (("leader", "leader"), ("both", "")):
        student.charts_as = chosen
        student.save()
        assert practice(as_student, course).role == shown


def test_ones_own_mark_counts_in_the_role_that_is_practised(as_student, student, course, lessons):
    whisk = figure_named(course, "whisk")
    taught(lessons[0], student, figures={whisk: "introduced"})
    OwnMark.objects.create(person=student, figure=whisk, role="L", mark="not_yet")
    assert practice(as_student, course).parts[1].why.startswith("Due again")
    OwnMark.objects.create(person=student, figure=whisk, role="F", mark="not_yet")
    assert practice(as_student, course).parts[1].why == "You marked it “not yet”."


def test_the_page_says_cautions_and_ones_own_note(as_student, student, course, lessons):
    whisk = figure_named(course, "whisk")
    Caution.objects.create(figure=whisk, text="knees stay soft")
    OwnNote.objects.create(person=student, figure=whisk, text="small feet")
    taught(lessons[0], student, figures={whisk: "introduced"})
    text = as_student.get(address(course)).content.decode()
    assert "knees stay soft" in text
    assert "small feet" in text
    assert "Clear the floor" in text


def test_the_routine_is_counted_through_as_far_as_it_was_taught(as_student, student, course, lessons):
    box, whisk, lock = (figure_named(course, name) for name in ("box", "whisk", "lock"))
    course.routine = RoutineFactory(
        level=course.levels.get(),
        dances=[box.passages.get(), whisk.passages.get(), box.passages.get(), lock.passages.get()],
    )
    course.save()
    taught(lessons[0], student, figures={box: "introduced", whisk: "introduced"})
    shown = practice(as_student, course)
    counts = shown.player.counts
    assert [count.begins for count in counts if count.begins] == ["box", "whisk", "box"]
    assert [count.at for count in counts] == [12 * place for place in range(9)]
    assert shown.player.score["ticks"] == 9 * 12
    assert shown.without_chart == ""


def test_the_routines_counts_stop_where_a_chart_is_missing_and_say_so(as_student, student, course, lessons):
    box, whisk = figure_named(course, "box"), figure_named(course, "whisk")
    way = whisk.passages.get()
    way.chart = None
    way.save()
    course.routine = RoutineFactory(
        level=course.levels.get(), dances=[box.passages.get(), way, box.passages.get()]
    )
    course.save()
    taught(lessons[0], student, figures={box: "introduced", whisk: "introduced"})
    assert "The counts stop before whisk" in as_student.get(address(course)).content.decode()
    assert len(practice(as_student, course).player.counts) == 3


def test_the_homework_given_last_in_this_dance_stands_on_the_page(as_student, student, course, instructor):
    whisk, tango = figure_named(course, "whisk"), FigureFactory(name="link")
    mine = {"person": student, "instructor": instructor}

    def given(days, homework, *, figure=None):
        worked_on = {figure: "introduced"} if figure else {}
        PrivateLessonFactory(
            **mine, date=TODAY - dt.timedelta(days=days), worked_on=worked_on, homework=homework
        )

    given(9, "ten boxes a day", figure=whisk)
    given(1, "sharp heads", figure=tango)
    PrivateLessonFactory(instructor=instructor, date=TODAY, homework="for somebody else")
    PrivateLessonFactory(**mine, date=TODAY + dt.timedelta(days=3), homework="not given yet")
    text = as_student.get(address(course)).content.decode()
    assert "Homework from Tobin" in text
    assert "ten boxes a day" in text
    assert not [said for said in ("sharp heads", "for somebody else", "not given yet") if said in text]
    given(2, "slow rises")
    assert "slow rises" in as_student.get(address(course)).content.decode()


def test_before_anything_was_taught_the_page_says_so(as_student, course, lessons):
    assert "There is nothing to practise yet." in as_student.get(address(course)).content.decode()


def test_another_course_is_not_there(as_student):
    assert as_student.get(address(CourseFactory())).status_code == 404


@pytest.mark.parametrize("size", [3, 7])
def test_it_costs_the_same_however_much_was_taught(
    as_student, student, course, lessons, size, django_assert_num_queries
):
    figures = [figure_named(course, f"figure {place}") for place in range(size)]
    course.routine = RoutineFactory(
        level=course.levels.get(), dances=[figure.passages.get() for figure in figures]
    )
    course.save()
    for figure, lesson in zip(figures, lessons, strict=False):
        taught(lesson, student, figures={figure: "introduced"})
    with django_assert_num_queries(33):
        as_student.get(address(course))
