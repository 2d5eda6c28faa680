"""The term at a glance: is it sound, and where is it not? And what a day without class would do."""

import datetime as dt

import pytest
from django.urls import reverse

from curriculum.models import Level
from lessons.actions.calendar import close_days
from lessons.actions.changes import cancel_lesson
from lessons.models import CourseInstructor, LessonSession, PlanStatus, TermPlan
from school.models import Closure, Term
from tests.factories import (
    ClosureFactory,
    CourseFactory,
    DanceFactory,
    LessonFactory,
    LevelFactory,
    PersonFactory,
    PlanFigureFactory,
    PrivateLessonFactory,
    TermFactory,
    weekly_lessons,
)
from tests.lessons.planned import as_person, planned

pytestmark = pytest.mark.usefixtures("story_day")

PUBLISHED = PlanStatus.PUBLISHED


def page(client, term=None):
    response = client.get(reverse("lessons:term", args=[term.pk] if term else []))
    assert response.status_code == 200
    return response.content.decode()


def test_a_school_without_a_term_is_told_what_to_do_first(as_director):
    assert "Begin the first term" in page(as_director)


def test_a_sound_term_says_so(as_director, instructor):
    planned(status=PUBLISHED, taught_by=[instructor])
    assert "The course is sound." in page(as_director)


def test_a_lesson_without_a_record_is_named_with_the_step_that_mends_it(as_director, instructor):
    course = planned(status=PUBLISHED, taught_by=[instructor], key="WB1")
    lesson = course.lessons[4]
    lesson.record.delete()
    shown = page(as_director)
    assert "0 of 1 courses are sound; WB1 has a lesson without a record." in shown
    assert "Lesson 5, Tue 3 Feb, has no record." in shown
    assert reverse("lessons:record", args=[lesson.pk]) in shown


def test_a_plan_that_does_not_fit_says_what_breaks(as_director, instructor):
    planned(figures={"box": 0, "turn": 6, "whisk": 5}, status=PUBLISHED, taught_by=[instructor], key="WB1")
    shown = page(as_director)
    assert "WB1 has a plan that does not fit" in shown
    assert "whisk begins in lesson 6 and needs turn in an earlier lesson" in shown


def test_a_course_with_only_a_draft_and_one_without_a_plan_are_named(as_director, instructor):
    course = planned(taught_by=[instructor], key="AA").course
    other = CourseFactory(term=course.term, key="BB", taught_by=[PersonFactory(roles=["instructor"])])
    weekly_lessons(other, 2, first=dt.date(2026, 2, 10))
    shown = page(as_director)
    assert "AA has no published plan" in shown
    assert "BB has no plan" in shown


def test_a_course_without_lessons_or_an_instructor_is_named(as_director):
    CourseFactory(key="CC")
    shown = page(as_director)
    assert "No lessons are laid out." in shown
    assert "Nobody teaches it." in shown


class TestDoubleBooking:
    def test_a_course_that_has_another_s_room_is_not_called_sound(self, as_director, instructor):
        first = planned(figures={"box": 0}, status=PUBLISHED, taught_by=[instructor], key="WB1", name="Waltz")
        other = CourseFactory(term=first.course.term, key="CL1", taught_by=[PersonFactory()], name="Clash")
        LessonFactory(course=other, date=dt.date(2026, 2, 17), start=dt.time(20), room=first.lessons[0].room)
        shown = page(as_director)
        assert "0 of 2 courses are sound; " in shown
        assert "WB1 is double-booked" in shown
        assert f"{first.lessons[0].room} is taken on Tuesday 17 February: Clash, 20:00 to 21:00." in shown
        assert f"{first.lessons[0].room} is taken on Tuesday 17 February: Waltz, 19:30 to 20:30." in shown

    def test_an_instructor_with_two_lessons_at_a_time_is_named(self, as_director, instructor):
        first = planned(figures={"box": 0}, status=PUBLISHED, taught_by=[instructor], key="WB1")
        other = CourseFactory(term=first.course.term, key="CL1", taught_by=[instructor], name="Clash")
        weekly_lessons(other, 3, first=dt.date(2026, 2, 10))
        assert (
            "Tobin Marl teaches another course then in 3 lessons, first on Tuesday 10 February: "
            "Clash, 19:30 to 20:30." in page(as_director)
        )

    def test_an_instructor_with_a_private_lesson_at_the_time_is_named(self, as_director, instructor):
        planned(figures={"box": 0}, status=PUBLISHED, taught_by=[instructor], key="WB1")
        PrivateLessonFactory(instructor=instructor, date=dt.date(2026, 2, 17), start=dt.time(20))
        said = "Tobin Marl gives a private lesson then on Tuesday 17 February: 20:00 to 20:45."
        shown = page(as_director)
        assert "WB1 is double-booked" in shown
        assert said in shown

    def test_one_lesson_beginning_as_another_ends_and_what_is_past_are_no_clash(
        self, as_director, instructor
    ):
        first = planned(figures={"box": 0}, status=PUBLISHED, taught_by=[instructor], key="WB1")
        room = first.lessons[0].room
        other = CourseFactory(term=first.course.term, key="CL1", taught_by=[instructor])
        LessonFactory(course=other, date=dt.date(2026, 2, 10), start=dt.time(20, 30), room=room)
        LessonFactory(course=other, date=dt.date(2026, 1, 13), start=dt.time(19, 30), room=room)
        assert "double-booked" not in page(as_director)


def test_a_day_without_class_is_a_gap_and_a_cancelled_lesson_is_marked(as_director, instructor):
    course = planned(status=PUBLISHED, taught_by=[instructor])
    LessonSession.objects.filter(pk=course.lessons[8].pk).update(
        cancelled_at=dt.datetime(2026, 2, 1, tzinfo=dt.UTC), cancelled_because="snow"
    )
    ClosureFactory(first_day=dt.date(2026, 3, 24), last_day=dt.date(2026, 3, 25), reason="hall hired out")
    shown = page(as_director)
    assert "Tue 3 Mar: snow" in shown
    assert "Tue 24 Mar: hall hired out" in shown


def test_an_instructor_reads_it_and_a_student_does_not_know_it(client, school, instructor, student):
    TermFactory(name="Spring")
    assert "Spring" in page(as_person(client, instructor))
    assert "Begin a new term" not in page(client)
    assert as_person(client, student).get(reverse("lessons:term")).status_code == 404


def test_nobody_signed_in_is_asked_to_sign_in(client, school):
    response = client.get(reverse("lessons:term"))
    assert response.status_code == 302
    assert reverse("school:sign-in") in response.url


def test_the_term_is_only_read(as_director):
    assert as_director.post(reverse("lessons:term")).status_code == 403


@pytest.mark.parametrize("courses", [1, 4])
def test_the_page_costs_the_same_queries_for_any_number_of_courses(
    as_director, instructor, courses, django_assert_num_queries
):
    first = planned(status=PUBLISHED, taught_by=[instructor])
    CourseFactory(term=first.course.term)
    for number in range(1, courses):
        planned(
            figures={f"a{number}": 0, f"b{number}": 6},
            status=PUBLISHED,
            taught_by=[instructor],
            term=first.course.term,
        )
    with django_assert_num_queries(41):
        page(as_director)


class TestALongTerm:
    """More courses than stand on one page."""

    @pytest.fixture
    def shown(self, as_director, monkeypatch):
        """The keys of the courses on the page that is asked for."""
        monkeypatch.setattr("lessons.board.term.LINES", 3)

        def read(**asked):
            answer = as_director.get(reverse("lessons:term"), asked)
            return [line.course.key for line in answer.context["sheet"].lines]

        return read

    @pytest.fixture
    def courses(self, instructor):
        """Five waltzes by day, of which the third has no published plan."""
        term, level = TermFactory(), LevelFactory(dance=DanceFactory(name="waltz"), most_new=1)
        for number in range(5):
            status = PlanStatus.DRAFT if number == 2 else PUBLISHED
            figures = {f"{name}{number}": place for name, place in (("box", 0), ("turn", 6))}
            made = planned(figures=figures, status=status, term=term, level=level, key=f"W{number}")
            made.course.meetings.update(weekday=4 - number, start=dt.time(10 + number))
            CourseInstructor.objects.create(
                course=made.course, person=PersonFactory(name=f"Édouard Roe{number}", roles=["instructor"])
            )

    def test_comes_in_pages_and_is_judged_as_a_whole(self, as_director, shown, courses):
        assert shown() == ["W0", "W1", "W2"]
        assert shown(page="2") == ["W3", "W4"]
        assert "4 of 5 courses are sound; W2 has no published plan." in page(as_director)

    def test_is_sought_by_course_day_and_instructor_whatever_the_accents(self, shown, courses):
        assert shown(q="w3") == ["W3"]
        assert shown(q="edouard ROE1") == ["W1"]
        assert shown(q="waltz tuesday") == ["W3"]
        assert shown(q="polka") == []

    def test_shows_what_is_not_sound_alone_and_goes_by_day(self, shown, courses):
        assert shown(wrong="on") == ["W2"]
        assert shown(order="day") == ["W4", "W3", "W2"]
        assert shown(order="day", page="2") == ["W1", "W0"]

    def test_the_way_to_the_next_page_keeps_what_was_sought(self, as_director, shown, courses):
        answer = as_director.get(reverse("lessons:term"), {"q": "waltz", "order": "day"})
        assert b"?q=waltz&amp;order=day&amp;page=2" in answer.content

    @pytest.mark.parametrize("more", [0, 3])
    def test_costs_the_same_queries_for_any_number_of_courses(
        self, as_director, shown, courses, more, django_assert_num_queries
    ):
        for number in range(more):
            figures = {f"a{number}": 0, f"b{number}": 6}
            shared = {"term": Term.objects.get(), "level": Level.objects.get()}
            planned(figures=figures, status=PUBLISHED, key=f"X{number}", **shared)
        with django_assert_num_queries(59):
            shown()


def test_a_term_is_begun(as_director):
    answer = as_director.post(
        reverse("lessons:term-new"), {"name": "Summer", "first_day": "2026-04-13", "last_day": "2026-07-05"}
    )
    term = Term.objects.get(name="Summer")
    assert answer.url == reverse("lessons:term", args=[term.pk])


def test_a_term_that_ends_before_it_begins_is_refused_at_the_field_and_nothing_typed_is_lost(as_director):
    answer = as_director.post(
        reverse("lessons:term-new"), {"name": "Summer", "first_day": "2026-07-05", "last_day": "2026-04-13"}
    )
    assert answer.context["form"].errors["last_day"] == ["This lies before the first day."]
    assert 'value="2026-07-05"' in answer.content.decode()
    assert not Term.objects.exists()


def test_an_instructor_begins_no_term_and_closes_no_day(client, school, instructor):
    as_person(client, instructor)
    assert client.get(reverse("lessons:term-new")).status_code == 403
    assert client.post(reverse("lessons:closure-new"), {}).status_code == 403


class TestDaysWithoutClass:
    DAY = {"first_day": "2026-02-17", "last_day": "2026-02-17", "reason": "burst pipe", "room": ""}

    def close(self, client, **more):
        return client.post(reverse("lessons:closure-new"), self.DAY | more)

    def close_and_confirm(self, client, **more):
        asked = self.close(client, **more)
        return self.close(client, **more, seen=asked.context["form"]["seen"].value())

    def test_it_first_shows_what_falls_out_and_changes_nothing(self, as_director):
        course = planned(figures={"box": 0, "turn": 6}, status=PUBLISHED)
        shown = self.close(as_director).content.decode()
        assert "1 lesson falls out" in shown
        assert "turn" in shown
        assert not Closure.objects.exists()
        assert not LessonSession.objects.get(pk=course.lessons[6].pk).is_cancelled

    def test_confirmed_it_closes_the_day_and_the_plan_keeps_what_it_had(self, as_director):
        course = planned(figures={"box": 0, "turn": 6}, status=PUBLISHED)
        answer = self.close_and_confirm(as_director)
        assert answer.status_code == 302
        assert LessonSession.objects.get(pk=course.lessons[6].pk).cancelled_because == "burst pipe"
        assert course.place_of("turn") == 6

    def test_a_lesson_laid_on_since_is_shown_before_it_falls_out(self, as_director):
        planned(status=PUBLISHED)
        seen = self.close(as_director).context["form"]["seen"].value()
        weekly_lessons(CourseFactory(), 1, first=dt.date(2026, 2, 17))
        shown = self.close(as_director, seen=seen).content.decode()
        assert "2 lessons fall out" in shown
        assert not Closure.objects.exists()

    def test_where_nothing_falls_out_that_is_shown_too(self, as_director):
        TermFactory()
        shown = self.close(as_director).content.decode()
        assert "No lesson falls out." in shown
        assert "outside every term" not in shown
        assert not Closure.objects.exists()
        assert self.close_and_confirm(as_director).status_code == 302
        assert Closure.objects.get().reason == "burst pipe"

    def test_days_outside_every_term_are_said_to_be_so(self, as_director):
        TermFactory()
        shown = self.close(as_director, first_day="2030-01-01", last_day="2030-01-02").content.decode()
        assert "These days lie outside every term" in shown

    def test_days_that_are_closed_already_are_named(self, as_director):
        ClosureFactory(first_day=dt.date(2026, 2, 16), last_day=dt.date(2026, 2, 18), reason="hall hired out")
        shown = self.close(as_director).content.decode()
        assert (
            "There is no class already from Monday 16 February to Wednesday 18 February: hall hired out."
            in shown
        )

    def test_other_days_than_those_seen_are_shown_first(self, as_director):
        TermFactory()
        seen = self.close(as_director).context["form"]["seen"].value()
        self.close(as_director, last_day="2026-02-19", seen=seen)
        assert not Closure.objects.exists()

    def test_a_closure_without_a_reason_is_refused_at_the_field(self, as_director):
        answer = self.close(as_director, reason="")
        assert answer.context["form"].errors["reason"] == ["Fill this in."]

    def test_closed_days_to_come_are_listed_wherever_they_lie(self, as_director):
        closure = ClosureFactory(first_day=dt.date(2030, 1, 1), reason="new floor")
        shown = as_director.get(reverse("lessons:closure-new")).content.decode()
        assert "Tue 1 Jan 2030" in shown
        assert reverse("lessons:closure-edit", args=[closure.pk]) in shown


class TestChangingDaysWithoutClass:
    """Tuesday 17 February is closed: the seventh lesson of eleven has fallen out."""

    @pytest.fixture
    def made(self, director):
        made = planned(figures={"box": 0, "turn": 6}, status=PUBLISHED, name="Waltz")
        day = made.lessons[6].date
        made.closure, _ = close_days(first_day=day, last_day=day, reason="burst pipe", by=director)
        return made

    def send(self, client, closure, *, confirm=True, back=None, **change):
        url = reverse("lessons:closure-edit", args=[closure.pk])
        data = {"first_day": "2026-02-17", "last_day": "2026-02-17", "reason": "burst pipe", "room": ""}
        asked = client.post(url, data | change)
        if not confirm:
            return asked
        form = asked.context["form"]
        chosen = form["back"].value() if back is None else back
        return client.post(url, data | change | {"seen": form["seen"].value(), "back": chosen})

    def cancelled(self, made):
        return [lesson.date.isoformat() for lesson in made.course.lessons.filter(cancelled_at__isnull=False)]

    def test_taken_back_they_offer_the_lessons_that_fell_out(self, as_director, made):
        asked = self.send(as_director, made.closure, confirm=False, remove="yes").content.decode()
        assert "Waltz, Tuesday 17 February, 19:30" in asked
        assert self.cancelled(made) == ["2026-02-17"]
        self.send(as_director, made.closure, remove="yes")
        assert self.cancelled(made) == []
        assert not Closure.objects.exists()
        assert made.place_of("turn") == 6

    def test_a_lesson_without_the_tick_stays_cancelled(self, as_director, made):
        self.send(as_director, made.closure, remove="yes", back=[])
        assert self.cancelled(made) == ["2026-02-17"]
        assert not Closure.objects.exists()

    def test_one_whose_room_is_taken_by_now_says_so_and_stays(self, as_director, made):
        swing = CourseFactory(name="Swing")
        weekly_lessons(swing, 1, first=dt.date(2026, 2, 17), room=made.lessons[0].room)
        asked = self.send(as_director, made.closure, confirm=False, remove="yes").content.decode()
        assert "it stays cancelled." in asked
        assert "is taken then: Swing" in asked
        self.send(as_director, made.closure, remove="yes", back=[str(made.lessons[6].pk)])
        assert self.cancelled(made) == ["2026-02-17"]

    def test_one_cancelled_on_its_own_does_not_come_back(self, as_director, made, director):
        cancel_lesson(lesson=made.lessons[8], because="snow", by=director)
        self.send(as_director, made.closure, remove="yes")
        assert self.cancelled(made) == ["2026-03-03"]

    def test_moved_to_another_day_one_lesson_falls_out_and_the_other_comes_back(self, as_director, made):
        change = {"first_day": "2026-02-24", "last_day": "2026-02-24", "reason": "floor varnished"}
        asked = self.send(as_director, made.closure, confirm=False, **change).content.decode()
        assert "1 lesson falls out" in asked
        assert "Waltz, Tuesday 17 February, 19:30" in asked
        self.send(as_director, made.closure, **change)
        assert self.cancelled(made) == ["2026-02-24"]
        assert made.course.lessons.get(date="2026-02-24").cancelled_because == "floor varnished"

    def test_another_reason_is_what_students_read(self, as_director, made):
        self.send(as_director, made.closure, reason="floor varnished")
        assert made.course.lessons.get(date="2026-02-17").cancelled_because == "floor varnished"

    def test_lessons_never_laid_out_because_of_it_are_offered_and_laid_out(self, as_director):
        made = planned(figures={"box": 0}, lessons=6, name="Waltz")
        closure = ClosureFactory(first_day=dt.date(2026, 2, 17))
        LessonSession.objects.filter(course=made.course, date=dt.date(2026, 2, 17)).delete()
        asked = self.send(as_director, closure, confirm=False, remove="yes").content.decode()
        assert "Waltz, Tuesday 17 February, 19:30" in asked
        self.send(as_director, closure, remove="yes")
        assert made.course.lessons.filter(date="2026-02-17").exists()

    @pytest.mark.parametrize("courses", [1, 4])
    def test_what_follows_costs_the_same_queries_for_any_number_of_courses(
        self, as_director, director, django_assert_num_queries, courses
    ):
        first = planned(lessons=8)
        for number in range(1, courses):
            planned(figures={f"a{number}": 0}, lessons=8, term=first.course.term)
        closure, _ = close_days(
            first_day=dt.date(2026, 2, 17), last_day=dt.date(2026, 2, 17), reason="burst pipe", by=director
        )
        with django_assert_num_queries(19):
            self.send(as_director, closure, confirm=False, remove="yes")


def test_a_retired_plan_is_no_plan(as_director, instructor):
    course = planned(status=PUBLISHED, taught_by=[instructor])
    TermPlan.objects.filter(pk=course.plan.pk).update(status=PlanStatus.RETIRED)
    PlanFigureFactory(plan=course.plan)
    assert "has no plan" in page(as_director)


def test_the_badge_counts_the_sentences_that_stand_beside_it(as_director):
    made = planned(figures=dict.fromkeys(["box", "turn", "whisk"]), status=PlanStatus.PUBLISHED)
    made.lessons[4].record.delete()
    sheet = as_director.get(reverse("lessons:term", args=[made.course.term_id])).context["sheet"]
    line = next(line for line in sheet.lines if line.course == made.course)
    assert line.faults == sum(len(wrong.sentences) for wrong in line.wrongs) == 5
