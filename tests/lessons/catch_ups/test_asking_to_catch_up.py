"""Asking for a place in the other evening, and what the instructor sees and answers."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from lessons.actions.catch_ups import answer_catch_up, ask_catch_up
from lessons.models import Attendance, CatchUp, NotPaired
from tests.factories import (
    CatchUpFactory,
    EnrolmentFactory,
    PersonFactory,
    RecordFactory,
)
from tests.lessons.catch_ups.pages import ask, offers


class TestAsking:
    def test_the_place_is_asked_for_and_held(self, as_student, student, course, thursdays, missed, plan):
        text = ask(as_student, course, thursdays[1], missed).content.decode()
        asked = CatchUp.objects.get()
        assert (asked.person, asked.lesson, asked.missed) == (student, thursdays[1], missed)
        assert (asked.role, asked.state) == ("F", "asked")
        assert "asked, the place is held for you" in text
        assert [places for _, _, places in offers(as_student, course)] == [1, 2]

    def test_a_full_evening_is_refused_with_a_sentence_and_nothing_is_written(
        self, as_student, course, thursdays, missed, plan
    ):
        CatchUpFactory.create_batch(2, lesson=thursdays[1], role="F")
        text = ask(as_student, course, thursdays[1], missed).content.decode()
        assert "The last place for followers on Thursday 15 January has just been taken." in text
        assert CatchUp.objects.count() == 2

    @pytest.mark.parametrize(
        ("wrong", "said"),
        [
            ("there", "You were there"),
            ("far", "next two weeks"),
            ("past", "begun already"),
            ("recorded", "begun already"),
            ("cancelled", "no class"),
            ("twice", "asked for this lesson already"),
            ("declined", "choose another lesson"),
            ("not mine", "not in the course"),
            ("own course", "not kept in step"),
        ],
    )
    def test_what_cannot_be_is_refused_in_a_sentence(
        self, student, enrolled, course, lessons, thursdays, missed, wrong, said
    ):
        lesson = thursdays[1]
        if wrong == "there":
            Attendance.objects.create(record=missed.record, person=student, role="F")
        elif wrong == "far":
            lesson = thursdays[4]
        elif wrong == "past":
            lesson = thursdays[0]
        elif wrong == "recorded":
            RecordFactory(lesson=lesson)
        elif wrong == "cancelled":
            lesson.cancelled_at = dt.datetime(2026, 1, 13, 12, tzinfo=dt.UTC)
            lesson.save()
        elif wrong in ("twice", "declined"):
            state = "asked" if wrong == "twice" else "declined"
            CatchUpFactory(lesson=lesson, person=student, state=state)
        elif wrong == "not mine":
            enrolled.delete()
        elif wrong == "own course":
            lesson = lessons[2]
        before = list(CatchUp.objects.values())
        with pytest.raises(ValidationError) as refused:
            ask_catch_up(lesson=lesson, missed=missed, person=student)
        assert said in " ".join(refused.value.messages)
        assert list(CatchUp.objects.values()) == before

    def test_it_is_taken_back_and_may_be_asked_for_anew(self, as_student, course, thursdays, missed, plan):
        ask(as_student, course, thursdays[1], missed)
        asked = CatchUp.objects.get()
        as_student.post(reverse("lessons:catch-up-withdraw", args=[asked.pk]))
        assert [places for _, _, places in offers(as_student, course)] == [2, 2]
        ask(as_student, course, thursdays[1], missed)
        asked.refresh_from_db()
        assert asked.state == "asked"

    def test_todays_page_says_where_one_is_expected(self, as_student, student, thursdays, missed):
        CatchUpFactory(lesson=thursdays[1], person=student, missed=missed, state="confirmed")
        text = as_student.get(reverse("lessons:home")).content.decode()
        assert "catch-up lesson in Waltz on Thursdays" in text
        assert "you are expected" in text

    @pytest.mark.parametrize("field", ["lesson", "missed"])
    @pytest.mark.parametrize("value", ["", "x", "-1", "999999"])
    def test_a_form_that_names_no_lesson_finds_nothing(
        self, as_student, course, thursdays, missed, plan, field, value
    ):
        sent = {"lesson": thursdays[1].pk, "missed": missed.pk} | {field: value}
        address = reverse("lessons:catch-up-ask", args=[course.pk])
        assert as_student.post(address, sent).status_code == 404
        assert not CatchUp.objects.exists()


class TestTheInstructor:
    @pytest.fixture
    def asked(self, thursdays, missed):
        guest = PersonFactory(name="Gwenda Sallow", roles=["student"])
        return CatchUpFactory(lesson=thursdays[1], missed=missed, person=guest, role="F")

    def answer(self, client, asked, answer):
        client.post(reverse("lessons:catch-up-answer", args=[asked.pk]), {"answer": answer})
        asked.refresh_from_db()
        return asked.state

    @pytest.fixture
    def as_instructor(self, client, instructor):
        client.force_login(instructor)
        return client

    def test_the_request_stands_on_todays_page_and_beside_the_sheet(self, as_instructor, asked):
        today = as_instructor.get(reverse("lessons:home")).content.decode()
        assert "Wants to catch up" in today
        sheet = as_instructor.get(reverse("lessons:lesson", args=[asked.lesson_id])).content.decode()
        assert "Gwenda" in sheet[sheet.index('id="visitors"') :]
        assert "There is a place" in sheet

    def test_it_is_confirmed_or_declined_and_who_did_is_kept(self, as_instructor, instructor, asked):
        assert self.answer(as_instructor, asked, "confirm") == "confirmed"
        assert asked.answered_by == instructor
        assert "Wants to catch up" not in as_instructor.get(reverse("lessons:home")).content.decode()
        assert self.answer(as_instructor, asked, "decline") == "declined"

    def test_an_answer_that_is_none_changes_nothing(self, as_instructor, asked):
        assert self.answer(as_instructor, asked, "perhaps") == "asked"

    def test_what_was_taken_back_cannot_be_confirmed(self, instructor, asked):
        asked.state = "withdrawn"
        asked.save()
        with pytest.raises(ValidationError, match="has taken this back"):
            answer_catch_up(catch_up=asked, confirm=True, by=instructor)

    def test_one_declined_is_confirmed_after_all_only_while_there_is_a_place(
        self, instructor, asked, thursdays
    ):
        asked.state = "declined"
        asked.save()
        CatchUpFactory.create_batch(2, lesson=thursdays[1], role="F")
        with pytest.raises(ValidationError, match="has just been taken"):
            answer_catch_up(catch_up=asked, confirm=True, by=instructor)

    def test_somebody_elses_lesson_is_not_theirs_to_answer_for(self, client, asked):
        client.force_login(PersonFactory(roles=["instructor"]))
        address = reverse("lessons:catch-up-answer", args=[asked.pk])
        assert client.post(address, {"answer": "confirm"}).status_code == 403

    def test_who_is_expected_stands_ticked_in_the_list_of_who_was_there(
        self, as_instructor, other, asked, settings
    ):
        settings.TODAY = "2026-01-16"
        EnrolmentFactory(course=other, person=PersonFactory(name="Ada Brinklow"), role="F")
        unanswered = PersonFactory(name="Zoe Marl")
        CatchUpFactory(lesson=asked.lesson, missed=asked.missed, person=unanswered, role="L")
        self.answer(as_instructor, asked, "confirm")
        form = as_instructor.get(reverse("lessons:record", args=[asked.lesson_id])).context["sheet"]
        assert [
            (words, [(who.person.name, who.was_there) for who in who_all]) for words, who_all in form.groups
        ] == [
            ("leaders", [("Zoe Marl", False)]),
            ("followers", [("Gwenda Sallow", True), ("Ada Brinklow", True)]),
        ]

    def test_who_is_expected_takes_their_turn_and_can_be_kept_apart_from_somebody(
        self, as_instructor, other, asked
    ):
        ada = EnrolmentFactory(course=other, person=PersonFactory(name="Ada Brinklow"), role="L").person
        address = reverse("lessons:partners", args=[asked.lesson_id])
        assert "Gwenda" not in as_instructor.get(address).content.decode()
        self.answer(as_instructor, asked, "confirm")
        assert "Gwenda" in as_instructor.get(address).content.decode()
        apart = reverse("lessons:not-paired", args=[asked.lesson_id])
        as_instructor.post(apart, {"one": ada.pk, "other": asked.person_id})
        assert NotPaired.objects.count() == 1

    def test_who_is_expected_is_counted_with_those_who_dance_and_in_the_room(
        self, as_instructor, other, asked, thursdays, whisk
    ):
        RecordFactory(lesson=thursdays[0], taught={whisk: "introduced"})
        ada = PersonFactory(name="Ada Brinklow")
        EnrolmentFactory(course=other, person=ada, role="F", joined=thursdays[0].date)
        room = thursdays[1].room
        room.people = 30
        room.save()

        def said():
            answer = as_instructor.get(reverse("lessons:lesson", args=[asked.lesson_id]))
            beside = answer.content.decode().split('class="beside"')[1]
            sentences = " ".join(rule.sentence for rule in answer.context["room_rules"])
            followers = [row.person.first_name for row in answer.context["cast"].followers]
            return (
                followers,
                beside.count("Gwenda"),
                int(sentences.split("whoever teaches: ")[1].split(".")[0]),
            )

        followers, _, people = said()
        assert followers == ["Ada"]
        self.answer(as_instructor, asked, "confirm")
        followers, named, more = said()
        assert followers == ["Ada", "Gwenda"]
        assert named > 1
        assert more == people + 1
        sheet = as_instructor.get(reverse("lessons:lesson", args=[asked.lesson_id])).content.decode()
        assert "joined after lesson" not in sheet, "a guest of one evening is no newcomer"
