"""Private lessons: a person, their figures, their homework. They count for that person, for no course."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from lessons.actions.errors import Overtaken
from lessons.actions.private import record_private, remove_private
from lessons.courses.knowledge import known_figures, taught_in
from lessons.evening.cast import cast_of
from lessons.evening.newcomers import newcomers_of
from lessons.models import PrivateFigure, PrivateLesson
from tests.factories import (
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    LevelFactory,
    PersonFactory,
    PrivateLessonFactory,
    RecordFactory,
    weekly_lessons,
)
from tests.lessons.private.pages import TODAY, new, signed_in


class TestWritingItUp:
    def test_figures_and_homework_are_written(self, client, instructor, box):
        lesson = PrivateLessonFactory(instructor=instructor, worked_on={box: ""})
        prefix = f"figure-{box.pk}"
        sent = {
            "version": "1",
            f"{prefix}-outcome": "introduced",
            f"{prefix}-went": "shaky",
            f"{prefix}-note": "smaller steps",
            "homework": "ten boxes a day",
        }
        signed_in(client, instructor).post(reverse("lessons:private-lesson", args=[lesson.pk]), sent)
        row = PrivateFigure.objects.get()
        assert (row.outcome, row.went, row.note) == ("introduced", "shaky", "smaller steps")
        assert PrivateLesson.objects.get().homework == "ten boxes a day"

    def test_not_before_its_day(self, instructor, box):
        lesson = PrivateLessonFactory(instructor=instructor, date=TODAY + dt.timedelta(days=1))
        with pytest.raises(ValidationError, match="Write it up once it has been given"):
            record_private(lesson=lesson, version=1, outcomes={}, homework="", by=instructor)

    def test_before_its_hour_only_if_it_has_taken_place(self, client, instructor, wall_clock, box):
        lesson = PrivateLessonFactory(instructor=instructor, date=TODAY, worked_on={box: ""})
        page = reverse("lessons:private-lesson", args=[lesson.pk])
        sent = {"version": "1", f"figure-{box.pk}-outcome": "introduced", "homework": "ten boxes a day"}
        wall_clock("12:00")
        assert "It has taken place already" in signed_in(client, instructor).get(page).content.decode()
        text = client.post(page, sent).content.decode()
        assert text.count("This private lesson begins at 17:00.") == 1
        assert "ten boxes a day" in text, "what was typed stays"
        assert not PrivateLesson.objects.get().homework
        assert client.post(page, sent | {"early": "on"}).status_code == 302
        assert PrivateLesson.objects.get().homework == "ten boxes a day"
        assert "It has taken place already" not in client.get(page).content.decode(), "to correct it"
        again = sent | {"version": "2", "homework": "twenty"}
        assert client.post(page, again).status_code == 302

    def test_from_its_hour_on_nothing_is_asked(self, client, instructor, wall_clock):
        lesson = PrivateLessonFactory(instructor=instructor, date=TODAY)
        page = reverse("lessons:private-lesson", args=[lesson.pk])
        wall_clock("17:00")
        assert "It has taken place already" not in signed_in(client, instructor).get(page).content.decode()
        assert client.post(page, {"version": "1", "homework": "slow rises"}).status_code == 302

    def test_a_second_writer_is_told(self, instructor):
        lesson = PrivateLessonFactory(instructor=instructor)
        record_private(lesson=lesson, version=1, outcomes={}, homework="mine", by=instructor)
        with pytest.raises(Overtaken):
            record_private(lesson=lesson, version=1, outcomes={}, homework="theirs", by=instructor)
        assert PrivateLesson.objects.get().homework == "mine"

    def test_it_can_be_taken_out_while_nothing_is_written(self, instructor, box):
        lesson = PrivateLessonFactory(worked_on={box: "introduced"})
        with pytest.raises(ValidationError, match="it stays"):
            remove_private(lesson=lesson, version=1, by=instructor)
        empty = PrivateLessonFactory(worked_on={box: ""})
        remove_private(lesson=empty, version=1, by=instructor)
        assert PrivateLesson.objects.get() == lesson


class TestWhoReadsIt:
    def test_an_instructor_their_own_and_the_director_all(self, client, instructor, director):
        mine = PrivateLessonFactory(instructor=instructor)
        theirs = PrivateLessonFactory()
        page = reverse("lessons:private-lessons")
        seen = signed_in(client, instructor).get(page).context["list"].been
        assert seen == (mine,)
        assert client.get(reverse("lessons:private-lesson", args=[theirs.pk])).status_code == 404
        assert set(signed_in(client, director).get(page).context["list"].been) == {mine, theirs}

    def test_what_is_not_written_up_is_said(self, client, instructor, box):
        PrivateLessonFactory(instructor=instructor, worked_on={box: ""})
        page = reverse("lessons:private-lessons")
        assert "not written up" in signed_in(client, instructor).get(page).content.decode()

    def test_nobody_under_18_is_alone_with_an_adult(self, client, instructor):
        young = PersonFactory(name="Zeb", is_minor=True)
        lesson = PrivateLessonFactory(instructor=instructor, person=young)
        grown = PrivateLessonFactory(instructor=instructor, start=dt.time(18, 0))
        rule = "never alone with an adult"
        for name in ("private-lesson", "private-edit"):
            page = reverse(f"lessons:{name}", args=[lesson.pk])
            assert rule in signed_in(client, instructor).get(page).content.decode()
        page = reverse("lessons:private-lesson", args=[grown.pk])
        assert rule not in client.get(page).content.decode()
        asked = new(client, instructor, young, start="16:00")
        assert asked.context["to_read"] == (
            "Zeb is under 18: never alone with an adult. Somebody responsible stays in the room, or the door "
            "stays open.",
        )
        assert new(client, instructor, grown.person, start="16:00").status_code == 302

    def test_the_menu_leads_there_for_who_teaches(self, client, instructor, student):
        page = reverse("lessons:private-lessons")
        here = f'<a href="{page}" aria-current="page">Private</a>'
        assert here in signed_in(client, instructor).get(page).content.decode()
        home = reverse("lessons:home")
        assert page not in signed_in(client, student).get(home).content.decode()

    def test_what_comes_says_the_homework_to_look_at_and_what_has_been_says_its_own(
        self, client, instructor, student
    ):
        mine = {"instructor": instructor, "person": student}
        PrivateLessonFactory(**mine, date=dt.date(2026, 1, 6), homework="walk to a slow song")
        last = PrivateLessonFactory(**mine, date=dt.date(2026, 1, 13), homework="ten boxes a day")
        PrivateLessonFactory(person=student, date=dt.date(2026, 1, 14), homework="set by a colleague")
        coming = PrivateLessonFactory(**mine, date=TODAY)
        page = signed_in(client, instructor).get(reverse("lessons:private-lessons"))
        assert page.context["list"].set_before == {student.pk: last}
        text = page.content.decode()
        assert text.count("ten boxes a day") == 2
        assert text.count("walk to a slow song") == 1
        sheet = client.get(reverse("lessons:private-lesson", args=[coming.pk]))
        assert sheet.context["set_before"] == last
        assert "Homework since 13 January" in sheet.content.decode()
        assert "set by a colleague" not in sheet.content.decode()

    def test_one_written_up_on_its_own_day_has_been_and_its_homework_counts_at_once(
        self, client, instructor, student, box
    ):
        mine = {"instructor": instructor, "person": student}
        PrivateLessonFactory(**mine, date=dt.date(2026, 1, 13), homework="ten boxes a day")
        today = PrivateLessonFactory(**mine, date=TODAY, worked_on={box: "introduced"}, homework="slow rises")
        PrivateLessonFactory(**mine, date=TODAY + dt.timedelta(days=7))
        shown = signed_in(client, instructor).get(reverse("lessons:private-lessons")).context["list"]
        assert shown.been[0] == today
        assert today not in shown.coming
        assert shown.set_before == {student.pk: today}
        text = signed_in(client, student).get(reverse("lessons:my-level"), follow=True).content.decode()
        assert "slow rises" in text

    @pytest.mark.parametrize("size", [2, 9])
    def test_the_list_costs_the_same_whatever_the_size(
        self, client, director, size, django_assert_num_queries
    ):
        for _ in range(size):
            PrivateLessonFactory(worked_on={FigureFactory(): "introduced"})
            PrivateLessonFactory(worked_on={FigureFactory(): ""}, date=TODAY)
        signed_in(client, director)
        with django_assert_num_queries(9):
            client.get(reverse("lessons:private-lessons"))


class TestWhatItCountsFor:
    @pytest.fixture
    def course(self, student):
        course = CourseFactory()
        EnrolmentFactory(course=course, person=student, role="F")
        return course

    def test_a_student_reads_their_own_with_homework(self, client, student, course, box):
        PrivateLessonFactory(person=student, worked_on={box: "introduced"}, homework="ten boxes a day")
        PrivateLessonFactory(homework="for somebody else")
        text = signed_in(client, student).get(reverse("lessons:my-level"), follow=True).content.decode()
        assert "ten boxes a day" in text
        assert "box step" in text
        assert "for somebody else" not in text

    def test_a_level_shows_those_of_its_dance_and_of_dances_without_a_page(self, client, student, course):
        level = course.levels.get()
        swing, tango = LevelFactory(), LevelFactory()
        EnrolmentFactory(course=CourseFactory(level=swing, term=course.term), person=student)
        for number, (of, words) in enumerate(((level, "boxes"), (swing, "anchors"), (tango, "walks"))):
            worked_on = {FigureFactory(level=of): "introduced"}
            start = dt.time(10 + number)
            PrivateLessonFactory(person=student, start=start, worked_on=worked_on, homework=words)
        page = reverse("lessons:my-level-course", args=[course.pk])
        text = signed_in(client, student).get(page).content.decode()
        assert [words in text for words in ("boxes", "anchors", "walks")] == [True, False, True]
        assert f"<b>{tango.dance}</b>" in text
        choice = client.get(reverse("lessons:my-level")).content.decode()
        assert [words in choice for words in ("boxes", "anchors", "walks")] == [True] * 3
        assert f"<b>{swing.dance}</b>" in choice

    def test_what_they_learnt_there_stands_against_the_figure(self, client, student, course):
        level = course.levels.get()
        missed, ahead = FigureFactory(level=level), FigureFactory(level=level)
        RecordFactory(lesson=weekly_lessons(course, 2)[0], taught={missed: "introduced"})
        page = reverse("lessons:my-level-course", args=[course.pk])
        said = "you weren’t there"
        # Over the last lesson, among what was missed, and on the ladder.
        assert signed_in(client, student).get(page).content.decode().count(said) == 3
        PrivateLessonFactory(person=student, worked_on={missed: "introduced", ahead: "introduced"})
        text = client.get(page).content.decode()
        assert text.count(said) == 1
        assert "private lesson 7 January" in text
        assert "you know it, private lesson 7 January" in text

    def test_it_teaches_no_course_anything(self, student, course):
        figure = FigureFactory(level=course.levels.get())
        PrivateLessonFactory(person=student, worked_on={figure: "introduced"})
        assert figure.pk not in taught_in(course)
        assert figure.pk not in known_figures(course)

    def test_a_newcomer_has_not_missed_what_they_learnt_there(self, course):
        figure = FigureFactory(level=course.levels.get())
        lessons = weekly_lessons(course, 4)
        RecordFactory(lesson=lessons[0], taught={figure: "introduced"})
        late = EnrolmentFactory(course=course, joined=dt.date(2026, 1, 12), role="L")
        taught = {figure.pk: lessons[0].date}
        assert newcomers_of(lessons[1], cast_of(lessons[1]), taught)
        PrivateLessonFactory(person=late.person, role="L", worked_on={figure: "introduced"})
        assert not newcomers_of(lessons[1], cast_of(lessons[1]), taught)
