"""Today's page: for each role what it looks for first, in one order for who has several."""

import datetime as dt

import pytest
from django.urls import reverse

from lessons.models import LessonInstructor
from lessons.runs.signs import give_sign
from tests.factories import (
    CatchUpFactory,
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    HelperCallFactory,
    HoldFactory,
    LessonFactory,
    PassageFactory,
    PersonFactory,
    PlanFactory,
    PlanFigureFactory,
    PrivateLessonFactory,
    RecordFactory,
    RoomFactory,
    RoutineFactory,
    TermFactory,
    weekly_lessons,
)

TODAY = dt.date(2026, 1, 20)


@pytest.fixture(autouse=True)
def third_week(settings, school):
    settings.TODAY = TODAY.isoformat()


@pytest.fixture
def home():
    return reverse("lessons:home")


@pytest.fixture
def course(instructor):
    return CourseFactory(name="Waltz on Tuesdays", taught_by=[instructor])


def sentences(as_director, home):
    return [need.sentence for need in as_director.get(home).context["director"].needs]


def recorded(*lessons):
    for lesson in lessons:
        RecordFactory(lesson=lesson)


def test_a_record_is_missed_two_days_after_the_lesson(as_director, home, settings, lessons):
    recorded(lessons[0])
    settings.TODAY = "2026-01-14"
    assert not [said for said in sentences(as_director, home) if "no record" in said]
    settings.TODAY = "2026-01-15"
    assert "Waltz on Tuesdays on Tuesday 13 January has no record yet." in sentences(as_director, home)


def test_many_missing_records_do_not_fill_the_page(as_director, home):
    for _ in range(3):
        weekly_lessons(CourseFactory(term=TermFactory()), 4, first=dt.date(2026, 1, 6))
    missing = [said for said in sentences(as_director, home) if "no record" in said]
    assert len(missing) == 6
    for _ in range(3):
        weekly_lessons(CourseFactory(term=TermFactory()), 4, first=dt.date(2026, 1, 6))
    missing = [said for said in sentences(as_director, home) if "no record" in said]
    assert len(missing) == 6
    assert missing[-1] == "7 more lessons have no record yet."
    every = as_director.get(home, {"all": "records"}).context["director"].needs
    assert sum("no record" in need.sentence for need in every) == 12


def test_yesterday_s_lesson_is_counted_beside_those_that_are_due(as_director, settings, home):
    settings.TODAY = "2026-01-14"
    weekly_lessons(CourseFactory(term=TermFactory(), name="Swing"), 2, first=dt.date(2026, 1, 6))
    missing = [said for said in sentences(as_director, home) if "no record" in said]
    assert missing == ["Swing on Tuesday 6 January has no record yet.", "1 more lesson has no record yet."]


def test_a_course_without_a_published_plan_is_named(as_director, home, course):
    PlanFactory(course=course)
    assert "Waltz on Tuesdays has no published plan." in sentences(as_director, home)


def test_courses_of_other_terms_are_left_in_peace(as_director, home):
    past = TermFactory(first_day=dt.date(2025, 9, 1), last_day=dt.date(2025, 12, 1))
    CourseFactory(term=past, name="Long ago")
    assert not [said for said in sentences(as_director, home) if "Long ago" in said]


def test_a_published_plan_that_no_longer_holds_is_named(as_director, home, course, lessons):
    recorded(*lessons[:2])
    whisk = FigureFactory(level=course.levels.get(), name="whisk")
    plan = PlanFactory(course=course, status="published")
    PlanFigureFactory(plan=plan, figure=whisk)
    needs = as_director.get(home).context["director"].needs
    need = next(need for need in needs if "whisk" in need.sentence)
    assert need.sentence.startswith("Waltz on Tuesdays: ")
    assert need.link == reverse("lessons:plan", args=[plan.pk])


def test_a_routine_that_broke_is_named(as_director, home, course):
    closed, open_facing = HoldFactory(dance=course.dance), HoldFactory(dance=course.dance)
    level = course.levels.get()
    whisk, chasse = FigureFactory(level=level, name="whisk"), FigureFactory(level=level, name="chasse")
    course.routine = RoutineFactory(
        level=level,
        name="side of the room",
        dances=[
            PassageFactory(figure=whisk, entry_hold=closed, exit_hold=closed),
            PassageFactory(figure=chasse, entry_hold=open_facing, exit_hold=closed),
        ],
    )
    course.save()
    said = [need.sentence for need in as_director.get(home).context["director"].needs]
    assert [sentence for sentence in said if sentence.startswith("side of the room: ")]


def test_no_worker_alive_is_said_until_one_gives_a_sign(as_director, home):
    assert "No worker is alive" in " ".join(sentences(as_director, home))
    give_sign("worker one")
    assert "No worker is alive" not in " ".join(sentences(as_director, home))


def test_when_nothing_needs_the_director_it_says_so(as_director, home, course):
    PlanFactory(course=course, status="published")
    give_sign("worker one")
    assert "all well" in as_director.get(home).content.decode()


def test_where_all_courses_are_over_a_term_comes_next_then_a_course(as_director, home, settings, course):
    RoomFactory()
    settings.TODAY = "2026-12-20"
    give_sign("worker one")

    def links():
        return [need.link for need in as_director.get(home).context["director"].needs]

    assert links() == [reverse("lessons:term-new")]
    TermFactory(first_day=dt.date(2026, 12, 1), last_day=dt.date(2027, 3, 1))
    assert links() == [reverse("lessons:course-new")]


def test_where_courses_are_only_to_come_nothing_is_asked_for(as_director, home, course, settings):
    settings.TODAY = "2025-12-20"
    give_sign("worker one")
    assert sentences(as_director, home) == []


def test_an_instructor_sees_tonight_then_what_comes_then_what_is_missing(client, home, instructor, lessons):
    client.force_login(instructor)
    desk = client.get(home).context["instructor"]
    assert [evening.lesson for evening in desk.tonight] == [lessons[2]]
    assert [evening.lesson for evening in desk.coming] == [lessons[3]]
    assert [evening.lesson for evening in desk.missing] == lessons[:2]
    assert "director" not in client.get(home).context


def test_an_instructor_reads_at_once_what_tonight_holds(client, home, instructor, course, lessons):
    level, plan = course.levels.get(), PlanFactory(course=course, status="published")
    whisk, box, lock, spin = (
        FigureFactory(level=level, name=name) for name in ("whisk", "box", "lock", "spin")
    )
    for figure, new_in, again_in in ((whisk, 2, []), (box, 0, [2]), (lock, 1, [2]), (spin, 2, [])):
        PlanFigureFactory(
            plan=plan, figure=figure, new_in=lessons[new_in], again_in=[lessons[place] for place in again_in]
        )
    RecordFactory(lesson=lessons[1], taught={lock: "finish_later", spin: "introduced"})
    client.force_login(instructor)
    answer = client.get(home)
    (tonight,) = answer.context["instructor"].tonight
    assert [(part.how, part.said) for part in tonight.head] == [
        ("new", "whisk"),
        ("carry", "lock"),
        ("review", "box"),
    ]
    assert 'class="headline"' in answer.content.decode()


def test_today_and_the_sheet_say_the_same_of_tonight(client, home, instructor, course, lessons):
    level, plan = course.levels.get(), PlanFactory(course=course, status="published")
    for place in range(3):
        figure = FigureFactory(level=level)
        PlanFigureFactory(plan=plan, figure=figure, new_in=lessons[place], again_in=[lessons[2]][: place < 2])
        if place < 2:
            outcome = ("finish_later", "introduced")[place]
            RecordFactory(lesson=lessons[place], taught={figure: outcome})
    client.force_login(instructor)
    (tonight,) = client.get(home).context["instructor"].tonight
    page = client.get(reverse("lessons:lesson", args=[lessons[2].pk])).context
    assert [part.how for part in page["head"]] == [part.how for part in tonight.head]


def test_a_recorded_lesson_offers_to_change_the_record(client, home, instructor, lessons):
    client.force_login(instructor)
    assert ">Change the record</a>" not in client.get(home).content.decode()
    recorded(lessons[2])
    assert ">Change the record</a>" in client.get(home).content.decode()


def test_a_lesson_given_away_moves_to_the_cover_s_page(client, home, instructor, lessons):
    wren = PersonFactory(roles=["instructor"])
    LessonInstructor.objects.create(lesson=lessons[2], person=wren, covers=True)
    for person, tonight in ((instructor, []), (wren, [lessons[2]])):
        client.force_login(person)
        assert [evening.lesson for evening in client.get(home).context["instructor"].tonight] == tonight


def test_a_cancelled_lesson_is_nobody_s_evening(client, home, instructor, lessons):
    lessons[2].cancelled_at = dt.datetime(2026, 1, 19, tzinfo=dt.UTC)
    lessons[2].save()
    client.force_login(instructor)
    assert client.get(home).context["instructor"].tonight == ()


def test_a_student_sees_the_next_lesson_and_what_was_done_last(client, home, student, course, lessons):
    EnrolmentFactory(course=course, person=student)
    whisk = FigureFactory(level=course.levels.get(), name="whisk")
    record = RecordFactory(lesson=lessons[1], taught={whisk: "introduced"})
    record.attendance.create(person=student, role="F")
    client.force_login(student)
    text = client.get(home).content.decode()
    assert "Tonight, 19:30" in text
    assert "On Tuesday 13 January we did:" in text
    assert "whisk" in text
    assert reverse("lessons:my-level-course", args=[course.pk]) in text


def test_a_student_who_was_away_is_told_so(client, home, student, course, lessons):
    EnrolmentFactory(course=course, person=student)
    whisk = FigureFactory(level=course.levels.get(), name="whisk")
    record = RecordFactory(lesson=lessons[1], taught={whisk: "introduced"})
    client.force_login(student)
    text = client.get(home).content.decode()
    assert "you weren’t there" in text
    assert reverse("lessons:my-level-course", args=[course.pk]) + "#missed" in text
    record.attendance.create(person=student, role="F")
    assert "you weren’t there" not in client.get(home).content.decode()


def test_a_student_is_told_of_a_lesson_that_falls_out(client, home, student, course, lessons):
    EnrolmentFactory(course=course, person=student)
    lessons[2].cancelled_at = dt.datetime(2026, 1, 19, tzinfo=dt.UTC)
    lessons[2].cancelled_because = "boiler broken"
    lessons[2].save()
    client.force_login(student)
    text = client.get(home).content.decode()
    assert "on Tuesday 20 January: boiler broken" in text
    assert "Tuesday 27 January, 19:30" in text


def test_a_student_in_no_course_is_told_whom_to_ask(client, home, student):
    client.force_login(student)
    assert "You are in no course yet." in client.get(home).content.decode()


def test_several_roles_come_in_one_order(client, home):
    everything = PersonFactory(roles=["student", "instructor", "director"])
    client.force_login(everything)
    text = client.get(home).content.decode()
    places = [text.index(heading) for heading in ("What needs me", "I teach", "I dance")]
    assert places == sorted(places)


def test_somebody_without_a_role_is_told_so(client, home, outsider):
    client.force_login(outsider)
    answer = client.get(home)
    assert answer.status_code == 200
    assert "have no role here yet" in answer.content.decode()


def test_who_is_not_signed_in_is_asked_to(client, home):
    assert client.get(home).url.startswith("/sign-in/")


def test_the_page_is_only_read(as_director, home):
    assert as_director.post(home).status_code in {403, 405}


@pytest.mark.parametrize("size", [2, 8])
def test_the_page_costs_the_same_whatever_the_size_of_the_school(
    client, home, size, django_assert_num_queries
):
    everything = PersonFactory(roles=["student", "instructor", "director"])
    term = TermFactory()
    for _ in range(size):
        course = CourseFactory(term=term, taught_by=[everything])
        lessons = weekly_lessons(course, 4)
        EnrolmentFactory(course=course, person=everything)
        plan = PlanFactory(course=course, status="published")
        figures = [FigureFactory(level=course.levels.get()) for _ in range(size)]
        for figure in figures:
            PlanFigureFactory(plan=plan, figure=figure, new_in=lessons[2], again_in=[lessons[3]])
        course.routine = RoutineFactory(
            level=course.levels.get(), dances=[PassageFactory(figure=figure) for figure in figures]
        )
        course.save()
        RecordFactory(lesson=lessons[0], taught={figures[0]: "introduced"})
    client.force_login(everything)
    with django_assert_num_queries(73):
        client.get(home)


class TestPrivateLessonsOfTheDay:
    def test_a_student_reads_their_own_of_today_and_nobody_elses(self, client, home, student, instructor):
        mine = {"person": student, "instructor": instructor}
        PrivateLessonFactory(**mine, date=TODAY, room=RoomFactory(name="Small hall"))
        PrivateLessonFactory(**mine, date=TODAY + dt.timedelta(days=1), start=dt.time(9, 15))
        PrivateLessonFactory(date=TODAY, start=dt.time(11, 5))
        client.force_login(student)
        text = client.get(home).content.decode()
        assert (
            '<span class="at">Today, 17:00</span> Small hall: private lesson with Tobin, until 17:45' in text
        )
        assert text.count("private lesson with") == 1

    def test_what_a_student_dances_stands_in_the_order_in_which_it_comes(
        self, client, home, student, instructor, course, lessons
    ):
        EnrolmentFactory(course=course, person=student)
        tomorrow = LessonFactory(course=CourseFactory(), date=TODAY + dt.timedelta(days=1))
        CatchUpFactory(lesson=tomorrow, person=student, state="confirmed")
        earlier = LessonFactory(course=CourseFactory(), date=TODAY, start=dt.time(16, 0))
        HelperCallFactory(lesson=earlier, person=student)
        EnrolmentFactory(course=CourseFactory(name="Ended"), person=student)
        PrivateLessonFactory(person=student, instructor=instructor, date=TODAY)
        client.force_login(student)
        text = client.get(home).content.decode()
        said = (
            "Today, 16:00",
            "Today, 17:00",
            "Tonight, 19:30",
            "Wednesday 21 January",
            "No lesson to come this term.",
        )
        assert [text.count(words) for words in said] == [1] * 5
        places = [text.index(words) for words in said]
        assert places == sorted(places)

    def test_an_instructor_reads_todays_and_the_next_ones(self, as_instructor, instructor, home):
        ada = PersonFactory(name="Ada Brinklow", roles=["student"])
        figure = FigureFactory(name="whisk")
        PrivateLessonFactory(instructor=instructor, person=ada, date=TODAY, worked_on={figure: ""})
        for days in (1, 2, 3, 4):
            PrivateLessonFactory(instructor=instructor, date=TODAY + dt.timedelta(days=days))
        PrivateLessonFactory(date=TODAY)
        answer = as_instructor.get(home)
        day = answer.context["private"]
        assert [lesson.person for lesson in day.today] == [ada]
        assert [lesson.date.day for lesson in day.coming] == [21, 22, 23]
        text = answer.content.decode()
        assert "Ada Brinklow" in text
        assert "whisk" in text

    def test_what_is_not_written_up_is_counted(self, as_instructor, instructor, home):
        figure = FigureFactory()
        PrivateLessonFactory(instructor=instructor, worked_on={figure: ""})
        PrivateLessonFactory(instructor=instructor, start=dt.time(9), worked_on={figure: "introduced"})
        PrivateLessonFactory(instructor=instructor, start=dt.time(10), homework="ten boxes")
        assert "1 given and not written up" in as_instructor.get(home).content.decode()

    def test_with_none_to_come_it_leads_to_a_new_one(self, as_instructor, home):
        assert reverse("lessons:private-new") in as_instructor.get(home).content.decode()


def test_a_students_courses_stand_in_the_order_in_which_they_meet_next(client, student, home):
    later, sooner, over = (CourseFactory(name=name) for name in ("A Waltz", "B Swing", "C Cha-cha"))
    for course in (later, sooner, over):
        EnrolmentFactory(course=course, person=student)
    weekly_lessons(later, 1, first=TODAY + dt.timedelta(days=1))
    LessonFactory(course=sooner, date=TODAY, start=dt.time(20, 10))
    client.force_login(student)
    assert [mine.course for mine in client.get(home).context["student"]] == [sooner, later, over]
