"""Private lessons: who lays one on for whom, when and where."""

import datetime as dt

import pytest
from django.urls import reverse

from lessons.models import PrivateLesson
from tests.factories import (
    ClosureFactory,
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    LessonFactory,
    PersonFactory,
    PrivateLessonFactory,
    RoomFactory,
)
from tests.lessons.private.pages import errors, form, new, signed_in


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

    @pytest.mark.parametrize(
        ("closed", "taken", "is_told"), [(None, "Loft", True), ("Loft", "Loft", True), ("Loft", "", False)]
    )
    def test_on_a_day_without_class_it_is_laid_on_once_that_was_read(
        self, client, instructor, student, closed, taken, is_told
    ):
        loft = RoomFactory(name="Loft")
        friday = dt.date(2026, 1, 23)
        ClosureFactory(first_day=friday, last_day=friday, reason="hired out", room=loft if closed else None)
        room = loft.pk if taken else ""
        asked = new(client, instructor, student, room=room)
        assert (asked.status_code == 200) == is_told
        if is_told:
            assert "There is no class on Friday 23 January: hired out." in asked.content.decode()
            seen = asked.context["form"]["seen"].value()
            assert new(client, instructor, student, room=room, seen=seen).status_code == 302
        assert PrivateLesson.objects.count() == 1

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
