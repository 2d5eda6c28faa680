"""Private lessons: a person, their figures, their homework. They count for that person, for no course."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from lessons.actions.errors import Overtaken
from lessons.actions.private import record_private, remove_private
from lessons.cast import cast_of
from lessons.knowledge import known_figures, taught_in
from lessons.models import PrivateFigure, PrivateLesson
from lessons.newcomers import newcomers_of
from tests.factories import (
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    LessonFactory,
    LevelFactory,
    PersonFactory,
    PrivateLessonFactory,
    RecordFactory,
    RoomFactory,
    weekly_lessons,
)

TODAY = dt.date(2026, 1, 21)


@pytest.fixture(autouse=True)
def third_week(settings, school):
    settings.TODAY = TODAY.isoformat()


@pytest.fixture
def box():
    return FigureFactory(name="box step")


def signed_in(client, person):
    client.force_login(person)
    return client


def form(person, **typed):
    sent = {
        "person": person.pk if person else "",
        "role": "F",
        "date": "2026-01-23",
        "start": "17:00",
        "minutes": "45",
        "room": "",
        "version": "0",
    }
    return sent | typed


def new(client, writer, person, **typed):
    return signed_in(client, writer).post(reverse("lessons:private-new"), form(person, **typed))


def errors(answer):
    return answer.context["form"].errors


class TestLayingOneOn:
    def test_an_instructor_gives_their_own(self, client, instructor, student, box):
        answer = new(client, instructor, student, figures=[box.pk])
        lesson = PrivateLesson.objects.get()
        assert answer.url == reverse("lessons:private-lesson", args=[lesson.pk])
        assert lesson.instructor == instructor
        assert lesson.figures.get() == box
        assert lesson.end == dt.time(17, 45)

    def test_the_person_is_sought_by_a_part_of_their_name(self, client, instructor, student):
        for name in ("Lark Ashby", "Wren Asher"):
            PersonFactory(name=name)
        several = new(client, instructor, None, who="LARK")
        shown = several.content.decode()
        assert "Several people have this in their name. Choose one." in shown
        assert ("Lark Penfold (" in shown, "Lark Ashby (" in shown, "Wren" in shown) == (True, True, False)
        assert errors(new(client, instructor, None, who="zz"))["who"]
        assert errors(new(client, instructor, None, who=""))["who"]
        assert new(client, instructor, None, who="penfold").status_code == 302
        assert PrivateLesson.objects.get().person == student

    def test_changed_otherwise_it_stays_with_its_person_whoever_else_is_called_so(
        self, client, instructor, student
    ):
        PersonFactory(name=student.name)
        lesson = PrivateLessonFactory(instructor=instructor, person=student, date=dt.date(2026, 1, 23))
        address = reverse("lessons:private-edit", args=[lesson.pk])
        shown = signed_in(client, instructor).get(address)
        assert b'value="Lark Penfold"' in shown.content
        typed = form(None, who="Lark Penfold", minutes="60", version=str(lesson.version))
        assert client.post(address, typed).status_code == 302
        lesson.refresh_from_db()
        assert (lesson.person, lesson.minutes) == (student, 60)

    @pytest.mark.parametrize("many", [2, 60])
    def test_its_form_does_not_grow_with_the_school(self, client, instructor, many):
        for number in range(many):
            PersonFactory(name=f"Ada {number}")
        page = signed_in(client, instructor).get(reverse("lessons:private-new"))
        assert b"Ada 1" not in page.content

    def test_the_director_says_who_gives_it(self, client, director, instructor, student):
        new(client, director, student, instructor=instructor.pk)
        assert PrivateLesson.objects.get().instructor == instructor

    def test_nobody_gives_themselves_a_lesson(self, client, instructor):
        assert errors(new(client, instructor, instructor))["person"] == ["Nobody gives themselves a lesson."]

    def test_the_instructor_teaching_a_course_then_is_refused(self, client, instructor, student):
        course = CourseFactory(taught_by=[instructor], name="Waltz")
        LessonFactory(course=course, date=dt.date(2026, 1, 23), start=dt.time(16, 30))
        said = errors(new(client, instructor, student))["start"][0]
        assert said.startswith("Tobin Marl teaches then already: Waltz")

    def test_a_room_taken_then_is_refused(self, client, instructor, student):
        taken = LessonFactory(date=dt.date(2026, 1, 23), start=dt.time(17, 30))
        assert "room" in errors(new(client, instructor, student, room=taken.room_id))

    @pytest.mark.parametrize("same", ["instructor", "person", "room"])
    def test_nobody_and_nothing_is_in_two_private_lessons_at_once(self, client, instructor, student, same):
        room = RoomFactory()
        mine = {"instructor": instructor, "person": student, "room": room}
        PrivateLessonFactory(date=dt.date(2026, 1, 23), start=dt.time(16, 30), **{same: mine[same]})
        answer = new(client, instructor, student, room=room.pk)
        field, said = {
            "instructor": ("start", "Tobin Marl gives a private lesson then: Friday 23 January, "),
            "person": ("person", "Lark Penfold is in a private lesson then: "),
            "room": ("room", f"{room} is taken then: a private lesson, Friday 23 January, "),
        }[same]
        assert errors(answer)[field] == [f"{said}16:30 to 17:15."]

    @pytest.mark.parametrize(("teaches_then", "field"), [(True, "person"), (False, "start")])
    def test_an_instructor_does_not_dance_in_one_lesson_and_give_another(
        self, client, instructor, student, teaches_then, field
    ):
        colleague = PersonFactory(name="Wren Asher", roles=["instructor"])
        theirs = {"instructor": colleague} if teaches_then else {"person": instructor}
        PrivateLessonFactory(date=dt.date(2026, 1, 23), start=dt.time(17, 30), **theirs)
        dancer = colleague if teaches_then else student
        assert "is in a private lesson then" in errors(new(client, instructor, dancer))[field][0]

    def test_it_may_move_within_its_own_time(self, client, instructor, student):
        mine = PrivateLessonFactory(instructor=instructor, person=student, room=RoomFactory())
        page = reverse("lessons:private-edit", args=[mine.pk])
        sent = form(student, date=mine.date, start="17:15", version="1", room=mine.room_id)
        assert signed_in(client, instructor).post(page, sent).status_code == 302

    def test_a_time_that_is_over_is_asked_about_first(self, client, instructor, student):
        answer = new(client, instructor, student, date="2026-01-16")
        text = answer.content.decode()
        assert "Friday 16 January, 17:00 is over: Lark reads at once" in text
        assert not PrivateLesson.objects.exists()
        seen = answer.context["form"]["seen"].value()
        assert f'value="{seen}"' in text
        assert new(client, instructor, student, date="2026-01-16", seen=seen).status_code == 302
        # Seen of one day is not seen of another.
        assert new(client, instructor, student, date="2026-01-15", seen=seen).status_code == 200
        assert PrivateLesson.objects.get().date == dt.date(2026, 1, 16)

    def test_moving_one_into_the_past_is_asked_about_and_changing_a_past_one_is_not(
        self, client, instructor, student
    ):
        lesson = PrivateLessonFactory(instructor=instructor, person=student, date=dt.date(2026, 1, 23))
        page = reverse("lessons:private-edit", args=[lesson.pk])
        moved = form(student, date="2026-01-16", version="1")
        answer = signed_in(client, instructor).post(page, moved)
        assert PrivateLesson.objects.get().date == dt.date(2026, 1, 23)
        client.post(page, moved | {"seen": answer.context["form"]["seen"].value()})
        assert PrivateLesson.objects.get().date == dt.date(2026, 1, 16)
        assert client.post(page, moved | {"version": "2", "minutes": "30"}).status_code == 302

    @pytest.mark.parametrize(
        ("start", "minutes", "is_asked"),
        [("18:00", 60, False), ("18:00", 61, True), ("19:30", 15, True), ("20:00", 30, False)],
    )
    def test_one_that_falls_into_the_persons_own_lesson_is_asked_about_first(
        self, client, instructor, student, start, minutes, is_asked
    ):
        course = CourseFactory(name="waltz Beginners")
        EnrolmentFactory(course=course, person=student, joined=dt.date(2026, 1, 5))
        LessonFactory(course=course, date=dt.date(2026, 1, 23), start=dt.time(19), minutes=60)
        answer = new(client, instructor, student, start=start, minutes=str(minutes))
        assert PrivateLesson.objects.exists() != is_asked
        if is_asked:
            asked = "Lark dances in waltz Beginners then: Friday 23 January, 19:00 to 20:00."
            assert asked in answer.content.decode()
            seen = answer.context["form"]["seen"].value()
            again = new(client, instructor, student, start=start, minutes=str(minutes), seen=seen)
            assert again.status_code == 302

    @pytest.mark.parametrize(
        ("enrolled", "cancelled"),
        [
            ({"left": dt.date(2026, 1, 20)}, None),
            ({"waiting": True}, None),
            ({"joined": dt.date(2026, 1, 24)}, None),
            ({}, dt.datetime(2026, 1, 20, tzinfo=dt.UTC)),
        ],
    )
    def test_nobody_is_asked_about_a_lesson_they_do_not_dance_in(
        self, client, instructor, student, enrolled, cancelled
    ):
        course = CourseFactory()
        EnrolmentFactory(course=course, person=student, **enrolled)
        day, start = dt.date(2026, 1, 23), dt.time(17)
        LessonFactory(course=course, date=day, start=start, cancelled_at=cancelled)
        assert new(client, instructor, student).status_code == 302

    def test_what_was_read_is_not_asked_again_while_the_time_stands(self, client, instructor, student, box):
        course = CourseFactory()
        EnrolmentFactory(course=course, person=student, joined=dt.date(2026, 1, 5))
        mine = PrivateLessonFactory(
            instructor=instructor, person=student, date=dt.date(2026, 1, 23), start=dt.time(17), minutes=45
        )
        LessonFactory(course=course, date=mine.date, start=mine.start)
        page = reverse("lessons:private-edit", args=[mine.pk])
        sent = form(student, version="1", figures=[box.pk])
        assert signed_in(client, instructor).post(page, sent).status_code == 302
        assert client.post(page, sent | {"version": "2", "minutes": "50"}).status_code == 200

    def test_one_after_the_other_is_fine(self, client, instructor, student):
        PrivateLessonFactory(date=dt.date(2026, 1, 23), start=dt.time(16, 15), instructor=instructor)
        assert new(client, instructor, student).status_code == 302

    def test_what_was_typed_stays(self, client, instructor, student, box):
        text = new(client, instructor, student, minutes="0", figures=[box.pk]).content.decode()
        assert f'value="{box.pk}" checked' in text
        assert 'value="2026-01-23"' in text

    def test_changing_it_keeps_what_was_written_of_a_figure(self, client, instructor, student, box):
        fan = FigureFactory(name="fan")
        lesson = PrivateLessonFactory(
            instructor=instructor, person=student, worked_on={box: "introduced", fan: ""}
        )
        page = reverse("lessons:private-edit", args=[lesson.pk])
        signed_in(client, instructor).post(page, form(student, version="1", figures=[box.pk]))
        assert [(row.figure, row.outcome) for row in lesson.worked_on.all()] == [(box, "introduced")]

    def test_a_second_writer_is_told_and_can_press_again(self, client, instructor, student):
        lesson = PrivateLessonFactory(instructor=instructor, person=student)
        PrivateLesson.objects.filter(pk=lesson.pk).update(version=2)
        page = reverse("lessons:private-edit", args=[lesson.pk])
        answer = signed_in(client, instructor).post(page, form(student, version="1", minutes="30"))
        assert "Somebody changed this private lesson" in answer.content.decode()
        assert PrivateLesson.objects.get().minutes == 45
        assert answer.context["version"] == 2
        client.post(page, form(student, version="2", minutes="30"))
        assert PrivateLesson.objects.get().minutes == 30


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
