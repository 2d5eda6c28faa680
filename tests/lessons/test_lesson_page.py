"""The page of one evening: its run-sheet, its people, its room; read by all who teach."""

import datetime as dt

import pytest
from django.urls import reverse

from curriculum.models import Caution, ChartStep, Fault, StepChart
from lessons.evening.plan_says import plan_after
from lessons.models import Enrolment, LessonInstructor
from lessons.run_sheet.fitted import run_sheet
from lessons.run_sheet.paper import Beside, paper_of
from lessons.run_sheet.ruler import MARKS, ruled
from school.models import Room, School
from tests.factories import (
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    HelperCallFactory,
    HelperFactory,
    PassageFactory,
    PersonFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    RoutineFactory,
    weekly_lessons,
)

TONIGHT = dt.date(2026, 1, 20)


@pytest.fixture(autouse=True)
def third_week(settings, school):
    settings.TODAY = TONIGHT.isoformat()


@pytest.fixture
def course(instructor):
    return CourseFactory(name="Waltz on Tuesdays", taught_by=[instructor])


@pytest.fixture
def whisk(course, tonight):
    """New tonight, with all an instructor wants to say."""
    figure = FigureFactory(
        level=course.levels.get(), name="whisk", lead="turn the ribs", response="turns to promenade"
    )
    Fault.objects.create(figure=figure, fault="twists the arms", remedy="elbows in front")
    Caution.objects.create(figure=figure, text="keep the knees soft")
    PlanFigureFactory(plan=PlanFactory(course=course, status="published"), figure=figure, new_in=tonight)
    return figure


def address(lesson):
    return reverse("lessons:lesson", args=[lesson.pk])


def page(client, person, lesson):
    client.force_login(person)
    return client.get(address(lesson))


def test_the_sheet_says_when_how_long_and_what_to_say(client, instructor, tonight, whisk):
    text = page(client, instructor, tonight).content.decode()
    for words in ("Tonight", "19:30", "20:30", "Warm-up", "turn the ribs", "turns to promenade"):
        assert words in text
    assert "twists the arms" in text
    assert "elbows in front" in text
    assert "keep the knees soft" in text
    assert reverse("curriculum:figure", args=[whisk.pk]) in text


def test_who_dances_is_named_by_first_name_and_role_only(client, instructor, course, tonight):
    EnrolmentFactory(course=course, person=PersonFactory(name="Ada Brinklow", roles=["student"]), role="F")
    EnrolmentFactory(course=course, person=PersonFactory(name="Otto Late", roles=["student"]), waiting=True)
    text = page(client, instructor, tonight).content.decode()
    assert "1 follower" in text
    assert "Ada" in text
    assert "Brinklow" not in text
    assert "Otto" not in text


def test_first_aid_and_the_rules_of_the_room_are_on_the_page(client, instructor, tonight):
    School.objects.update(first_aid="Box by the kitchen door.")
    Room.objects.filter(pk=tonight.room_id).update(people=1, music_off=dt.time(20, 0))
    text = page(client, instructor, tonight).content.decode()
    assert "Box by the kitchen door." in text
    assert '<p class="care">Music off at 20:00.</p>' in text
    assert "People allowed: 1; expected, with whoever teaches: 1." in text


def test_a_dance_that_travels_in_a_small_room_is_warned_of(client, instructor, course, tonight):
    Room.objects.filter(pk=tonight.room_id).update(travelling_dances=False)
    course.dance.floor_use = "travels"
    course.dance.save()
    assert "Too small for a dance that travels" in page(client, instructor, tonight).content.decode()


def test_a_lesson_without_record_before_tonight_is_named(client, instructor, lessons, tonight):
    answer = page(client, instructor, tonight)
    assert "Not written up yet" in answer.content.decode()
    assert "sheet and plan reckon that it went as planned" in answer.content.decode()
    assert [row.pk for row in answer.context["sheet"].tonight.unrecorded] == [lessons[0].pk, lessons[1].pk]


def test_a_recorded_lesson_shows_what_was_done(client, instructor, tonight, whisk):
    RecordFactory(lesson=tonight, taught={whisk: "introduced"}, note="again from the corner")
    text = page(client, instructor, tonight).content.decode()
    assert "As it was planned" in text
    assert "again from the corner" in text


def test_who_was_there_and_who_was_missing_is_named(client, instructor, course, tonight, whisk):
    thea, ada = (PersonFactory(name=name, roles=["student"]) for name in ("Thea Winnow", "Ada Brinklow"))
    for person in (thea, ada):
        EnrolmentFactory(course=course, person=person, role="F")
    record = RecordFactory(lesson=tonight, taught={whisk: "introduced"}, unnamed_guests=1)
    record.attendance.create(person=ada, role="F")
    text = page(client, instructor, tonight).content.decode()
    assert "There: Ada, and 1 guest without a name." in text
    assert "Missing: Thea." in text
    assert ">Change the record</a>" in text


class TestWhoWasThere:
    """Ada leads, Una follows and is away, and Nerys, called as leader, came."""

    @pytest.fixture
    def record(self, course, tonight):
        ada = EnrolmentFactory(course=course, role="L", person__name="Ada Finch").person
        EnrolmentFactory(course=course, role="F", person__name="Una Rook")
        nerys = HelperFactory(person__name="Nerys Gorwell", role="L").person
        HelperCallFactory(lesson=tonight, person=nerys, role="L")
        record = RecordFactory(lesson=tonight)
        for person in (ada, nerys):
            record.attendance.create(person=person, role="L")
        return record

    def beside(self, client, instructor, lesson):
        text = page(client, instructor, lesson).content.decode()
        head = text.split('class="heads"')[1].split("</p>")[0] if 'class="heads"' in text else ""
        return text.split('class="beside"')[1].split("</section>")[0], head

    def test_once_written_up_the_record_says_it_helpers_too(self, client, instructor, tonight, record):
        beside, head = self.beside(client, instructor, tonight)
        assert "Who was there" in beside
        assert "2 leaders</span> Ada, Nerys" in beside
        assert "Una" not in beside
        assert "2 leaders" in head
        assert "follower" not in head

    def test_a_role_that_nobody_wrote_down_is_the_one_enrolled_in(self, client, instructor, tonight, record):
        record.attendance.update(role="")
        assert "1 leader</span> Ada<" in self.beside(client, instructor, tonight)[0]

    def test_a_record_that_names_nobody_says_so(self, client, instructor, tonight, record):
        record.attendance.all().delete()
        assert "Nobody by name." in self.beside(client, instructor, tonight)[0]

    def test_until_then_it_is_who_is_expected(self, client, instructor, tonight, record):
        record.delete()
        beside, _ = self.beside(client, instructor, tonight)
        assert "Here tonight" in beside
        assert "1 follower</span> Una" in beside
        assert "<b>Called</b> Nerys as leader" in beside


def test_one_line_on_top_says_what_is_new_and_who_dances(client, instructor, course, tonight, whisk):
    for role in ("L", "F", "F"):
        EnrolmentFactory(course=course, role=role)
    answer = page(client, instructor, tonight)
    row = next(row for row in answer.context["sheet"].rows if row.kind == "new")
    text = answer.content.decode()
    top = text[text.index('class="headline"') : text.index("</p>", text.index('class="headline"'))]
    assert f"whisk, {row.minutes} min" in top
    assert "1 leader<" in top
    assert "2 followers" in top
    assert text.index('class="headline"') < text.index('class="runsheet"')


def test_the_people_who_are_expected_are_all_named(client, instructor, tonight):
    assert "<b>In front</b> Tobin" in page(client, instructor, tonight).content.decode()


def test_the_sheet_passes_on_what_the_plan_knows_to_be_wrong(client, instructor, course, lessons, whisk):
    """Whoever opens only the sheet of a later evening must not teach the wrong thing."""
    plan = course.plans.get()
    weekly_lessons(course, 1, first=dt.date(2026, 2, 3))
    lock = FigureFactory(level=course.levels.get(), name="lock", needs=[whisk])
    PlanFigureFactory(plan=plan, figure=lock, new_in=lessons[3])
    assert "This does not fit" not in page(client, instructor, lessons[3]).content.decode()
    RecordFactory(lesson=lessons[2], taught={whisk: "finish_later"})
    text = page(client, instructor, lessons[3]).content.decode()
    assert "This does not fit as it is planned." in text
    assert "<p>Lock begins in lesson 4 and needs whisk in an earlier lesson" in text
    assert reverse("lessons:plan", args=[plan.pk]) in text


def test_a_lesson_that_is_written_up_is_not_warned_of_any_more(client, instructor, course, lessons, whisk):
    lock = FigureFactory(level=course.levels.get(), name="lock", needs=[whisk])
    PlanFigureFactory(plan=course.plans.get(), figure=lock, new_in=lessons[1])
    RecordFactory(lesson=lessons[1], taught={lock: "introduced"})
    assert page(client, instructor, lessons[1]).context["plan_says"] is None


def test_the_head_names_what_the_sheet_has_time_for(client, instructor, course, lessons, tonight, whisk):
    box = FigureFactory(level=course.levels.get(), name="box step")
    PlanFigureFactory(plan=course.plans.get(), figure=box, new_in=lessons[0], again_in=[tonight])
    RecordFactory(lesson=lessons[0], taught={box: "introduced"})
    whole = page(client, instructor, tonight).context["head"]
    assert [part.how for part in whole] == ["new", "review"]
    tonight.minutes = 18
    tonight.save()
    short = page(client, instructor, tonight)
    assert "Again: box step" in short.content.decode()
    assert [part.how for part in short.context["head"]] == ["new"]


class TestWhatARecordDoesToThePlan:
    @pytest.fixture
    def lock(self, course, lessons, whisk):
        """New a week after the whisk, which it needs."""
        figure = FigureFactory(level=course.levels.get(), name="lock", needs=[whisk])
        PlanFigureFactory(plan=course.plans.get(), figure=figure, new_in=lessons[3])
        RecordFactory(lesson=lessons[0])
        RecordFactory(lesson=lessons[1])
        # The last lesson takes nothing new, so there is one more.
        weekly_lessons(course, 1, first=dt.date(2026, 2, 3))
        return figure

    def recorded(self, client, person, lesson, outcome, whisk, **more):
        client.force_login(person)
        prefix = f"figure-{whisk.pk}"
        sent = {
            "version": "",
            "figures": whisk.pk,
            f"{prefix}-outcome": outcome,
            "unnamed_guests": "",
            "early": "1",
        }
        form = reverse("lessons:record", args=[lesson.pk])
        return client.post(form, sent | more, follow=True).content.decode()

    def test_an_instructor_is_told_at_once_what_no_longer_holds_and_where(
        self, client, instructor, course, lessons, tonight, whisk, lock
    ):
        text = self.recorded(client, instructor, tonight, "not_reached", whisk)
        assert "The plan no longer holds as it stands: see below." in text
        told = text[text.index('id="plan-after"') :]
        assert "whisk" in told
        assert "lock" in told
        run = course.plans.get().runs.get()
        assert reverse("lessons:plan-run", args=[run.pk]) in told
        assert "Nothing changes before a director has said yes." in told

    def test_where_nothing_is_proposed_it_leads_to_the_plan(
        self, client, instructor, course, lessons, tonight, whisk, lock
    ):
        RecordFactory(lesson=tonight, taught={whisk: "not_reached"})
        told = page(client, instructor, tonight).content.decode()
        assert reverse("lessons:plan", args=[course.plans.get().pk]) in told
        assert "a director sees it on their page" in told

    def test_what_goes_as_planned_leaves_the_plan_alone(self, client, instructor, tonight, whisk, lock):
        text = self.recorded(client, instructor, tonight, "introduced", whisk)
        assert "the plan goes on from it" in text
        assert "plan-after" not in text

    def test_where_names_the_evening_it_shows_in(self, client, director, lessons, tonight, whisk, lock):
        text = self.recorded(client, director, tonight, "finish_later", whisk)
        told = text[text.index('id="plan-after"') :]
        assert f'<a href="{address(lessons[3])}">Tue 27 Jan</a>' in told

    def test_it_is_said_of_the_last_evening_written_up_only(
        self, client, instructor, lessons, tonight, whisk, lock
    ):
        self.recorded(client, instructor, tonight, "not_reached", whisk)
        assert page(client, instructor, lessons[1]).context["plan_after"] is None
        assert page(client, instructor, tonight).context["plan_after"].troubles

    @pytest.mark.parametrize("size", [2, 9])
    def test_it_costs_the_same_whatever_the_size(
        self, course, lessons, tonight, whisk, lock, size, django_assert_num_queries
    ):
        plan = course.plans.get()
        for _ in range(size):
            FigureFactory(level=course.levels.get(), needs=[whisk])
            PlanFigureFactory(plan=plan, figure=FigureFactory(level=course.levels.get()), new_in=lessons[3])
        RecordFactory(lesson=tonight, taught={whisk: "not_reached"})
        with django_assert_num_queries(19):
            assert plan_after(tonight)


def test_how_the_new_figure_goes_is_on_the_sheet_for_both_roles(client, instructor, tonight, whisk):
    chart = StepChart.objects.create(figure=whisk)
    for role, foot, says in (("L", "L", "sways"), ("F", "R", "settles")):
        ChartStep.objects.create(
            chart=chart, role=role, position=1, count="1", ticks=12, foot=foot, action="step", direction=says
        )
    answer = page(client, instructor, tonight)
    text = answer.content.decode()
    folded = text[text.index('<details class="steps">') :]
    assert "Counts and steps" in folded
    assert folded.index("sways") < folded.index("settles") < folded.index("</details>")
    assert answer.context["paper"].steps


def test_a_figure_leads_back_to_the_evening_it_was_opened_from(client, instructor, tonight, whisk):
    figure = reverse("curriculum:figure", args=[whisk.pk])
    assert f'href="{figure}?from={tonight.pk}"' in page(client, instructor, tonight).content.decode()
    back = f'href="{address(tonight)}"'
    assert back in client.get(f"{figure}?from={tonight.pk}").content.decode()
    for wrong in ("https://elsewhere.example/", "0x1", "", "-3"):
        assert back not in client.get(figure, {"from": wrong}).content.decode()


def test_a_caution_stands_once_and_none_is_said_to_be_none(client, instructor, course, tonight, whisk):
    assert page(client, instructor, tonight).content.decode().count("keep the knees soft") == 1
    Caution.objects.all().delete()
    assert "No caution is written down for this figure." in page(client, instructor, tonight).content.decode()


def test_a_lesson_leads_to_the_one_before_and_the_one_after(client, instructor, lessons):
    text = page(client, instructor, lessons[1]).content.decode()
    assert f'<a rel="prev" href="{address(lessons[0])}">' in text
    assert f'<a rel="next" href="{address(lessons[2])}">' in text
    assert 'rel="prev"' not in page(client, instructor, lessons[0]).content.decode()


def test_a_sheet_with_little_on_it_is_printed_larger_than_a_full_one(course, tonight, whisk):
    rows = run_sheet(tonight).rows
    nothing = Beside(people=(), room=(), care=(), first_aid="")
    much = Beside(people=["Ada, Otto, " * 5] * 3, room=["no shoes"], care=["slowly"] * 4, first_aid="x" * 600)
    little = paper_of(rows, head="", around=[], beside=nothing, steps=[])
    full = paper_of(rows, head="", around=["so much to say " * 5] * 25, beside=much, steps=[])
    assert little.size == 12
    assert full.size < 12


def test_a_cancelled_lesson_says_why_and_what_was_planned(client, instructor, tonight, whisk):
    tonight.cancelled_at = dt.datetime(2026, 1, 19, 12, tzinfo=dt.UTC)
    tonight.cancelled_because = "boiler broken"
    tonight.save()
    text = page(client, instructor, tonight).content.decode()
    assert "boiler broken" in text
    assert "whisk" in text
    assert f'needs another lesson: <a href="{reverse("lessons:course", args=[tonight.course_id])}"' in text
    assert "runsheet" not in text


def test_who_covers_is_named_and_only_they_are_offered_the_record(client, instructor, tonight):
    cover = PersonFactory(name="Wren Tansley", roles=["instructor"])
    LessonInstructor.objects.create(lesson=tonight, person=cover, covers=True)
    record = reverse("lessons:record", args=[tonight.pk])
    theirs = page(client, cover, tonight).content.decode()
    assert "Wren" in theirs
    assert record in theirs
    assert record not in page(client, instructor, tonight).content.decode()


def test_changes_are_offered_to_the_director_alone(client, director, instructor, tonight):
    move = reverse("lessons:lesson-move", args=[tonight.pk])
    assert move in page(client, director, tonight).content.decode()
    assert move not in page(client, instructor, tonight).content.decode()


def test_students_and_strangers_find_no_such_page(client, student, outsider, course, tonight):
    EnrolmentFactory(course=course, person=student)
    assert page(client, student, tonight).status_code == 404
    assert page(client, outsider, tonight).status_code == 404


def test_who_is_not_signed_in_is_asked_to(client, tonight):
    assert client.get(address(tonight)).status_code == 302


def test_there_is_no_such_lesson(as_director):
    assert as_director.get(reverse("lessons:lesson", args=[999_999])).status_code == 404


def test_the_page_is_only_read(as_director, tonight):
    assert as_director.post(address(tonight)).status_code == 403


def test_the_ruler_marks_the_quarter_hours_of_the_wall_clock(tonight, whisk):
    tonight.start = dt.time(19, 50)
    rows = ruled(run_sheet(tonight).rows)
    marks = {kind: sum(dict(row.marks).get(kind, "").count("M") for row in rows) for kind in MARKS}
    assert marks == {"minute": 48, "five": 8, "quarter": 4}


@pytest.mark.parametrize("size", [2, 9])
def test_the_page_costs_the_same_whatever_the_size(
    client, instructor, course, lessons, tonight, size, django_assert_num_queries
):
    plan = PlanFactory(course=course, status="published")
    figures = [FigureFactory(level=course.levels.get()) for _ in range(2 * size)]
    for new, old in zip(figures[::2], figures[1::2], strict=True):
        PlanFigureFactory(plan=plan, figure=new, new_in=tonight)
        PlanFigureFactory(plan=plan, figure=old, new_in=lessons[1], again_in=[tonight])
        EnrolmentFactory(course=course)
    RecordFactory(lesson=lessons[1], taught=dict.fromkeys(figures[1::2], "introduced"))
    course.routine = RoutineFactory(
        level=course.levels.get(), dances=[PassageFactory(figure=figure) for figure in figures]
    )
    course.save()
    assert Enrolment.objects.count() == size
    client.force_login(instructor)
    with django_assert_num_queries(49):
        client.get(address(tonight))
