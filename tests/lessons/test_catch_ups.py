"""A missed lesson: where it can be caught up, asking for the place, what the instructor sees and answers."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from lessons.actions.catch_ups import answer_catch_up, ask_catch_up
from lessons.models import Attendance, CatchUp, CourseGroup, Enrolment, NotPaired
from tests.factories import (
    CatchUpFactory,
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    LevelFactory,
    PersonFactory,
    PlanFactory,
    PlanFigureFactory,
    PrivateLessonFactory,
    RecordFactory,
    weekly_lessons,
)

TODAY = dt.date(2026, 1, 14)


@pytest.fixture(autouse=True)
def second_week(settings, school):
    """Wednesday of the second week."""
    settings.TODAY = TODAY.isoformat()


@pytest.fixture
def group(db):
    return CourseGroup.objects.create(name="Waltz Beginners")


@pytest.fixture
def course(group):
    """The student's, on Tuesdays."""
    return CourseFactory(level=LevelFactory(rank=1), name="Waltz on Tuesdays", group=group)


@pytest.fixture
def other(course, group, instructor):
    """The other evening, on Thursdays, with two places for followers."""
    return CourseFactory(
        level=course.levels.get(),
        term=course.term,
        name="Waltz on Thursdays",
        group=group,
        places_followers=2,
        taught_by=[instructor],
    )


@pytest.fixture
def lessons(course):
    return weekly_lessons(course, 6)


@pytest.fixture
def thursdays(other):
    """From 8 January: the second is tomorrow, the fourth lies beyond two weeks."""
    return weekly_lessons(other, 6, first=dt.date(2026, 1, 8))


@pytest.fixture
def whisk(course):
    return FigureFactory(level=course.levels.get(), name="whisk")


@pytest.fixture
def missed(lessons, whisk):
    """The first Tuesday: the whisk was new, and the student was not there."""
    RecordFactory(lesson=lessons[0], taught={whisk: "introduced"})
    return lessons[0]


@pytest.fixture
def plan(other, thursdays, whisk):
    """The other evening has the whisk new tomorrow and again a week later, and in the fourth week."""
    plan = PlanFactory(course=other, status="published")
    PlanFigureFactory(plan=plan, figure=whisk, new_in=thursdays[1], again_in=[thursdays[2], thursdays[5]])
    return plan


def read(client, course):
    return client.get(reverse("lessons:missed", args=[course.pk])).context["missed"]


def ask(client, course, lesson, missed):
    address = reverse("lessons:catch-up-ask", args=[course.pk])
    return client.post(address, {"lesson": lesson.pk, "missed": missed.pk}, follow=True)


def offers(client, course):
    (line,) = read(client, course).lessons
    return [(offer.lesson.date, [how for _, how in offer.does], offer.places) for offer in line.offers]


class TestWhereToCatchUp:
    def test_the_other_evening_offers_what_teaches_or_reviews_it_within_two_weeks(
        self, as_student, course, missed, plan
    ):
        assert offers(as_student, course) == [
            (dt.date(2026, 1, 15), ["new"], 2),
            (dt.date(2026, 1, 22), ["again"], 2),
        ]

    def test_places_are_counted_in_ones_own_role_with_those_who_catch_up_already(
        self, as_student, course, other, thursdays, missed, plan
    ):
        EnrolmentFactory(course=other, role="F")
        EnrolmentFactory(course=other, role="L")
        EnrolmentFactory(course=other, role="F", waiting=True)
        EnrolmentFactory(course=other, role="F", left=dt.date(2026, 1, 10))
        CatchUpFactory(lesson=thursdays[1], role="F")
        CatchUpFactory(lesson=thursdays[1], role="L")
        CatchUpFactory(lesson=thursdays[2], role="F", state="declined")
        assert [places for _, _, places in offers(as_student, course)] == [0, 1]
        assert "No place for one more follower" in page(as_student, course)

    def test_a_cancelled_lesson_offers_nothing(self, as_student, course, thursdays, missed, plan):
        thursdays[1].cancelled_at = dt.datetime(2026, 1, 13, 12, tzinfo=dt.UTC)
        thursdays[1].save()
        assert [day for day, _, _ in offers(as_student, course)] == [dt.date(2026, 1, 22)]

    def test_a_draft_and_a_course_that_is_not_in_step_offer_nothing(
        self, as_student, course, other, missed, plan
    ):
        plan.status = "draft"
        plan.save()
        assert offers(as_student, course) == []
        assert "in the next two weeks" in page(as_student, course)
        other.group = None
        other.save()
        assert "No other evening is kept in step" in page(as_student, course)

    def test_what_was_taught_again_while_one_was_there_needs_no_catching_up(
        self, as_student, student, course, lessons, missed, plan, whisk
    ):
        there = RecordFactory(lesson=lessons[1], taught={whisk: "introduced"})
        Attendance.objects.create(record=there, person=student, role="F")
        (line,) = read(as_student, course).lessons
        assert (line.open_figures, line.offers) == ((), ())
        assert "caught up" in page(as_student, course)

    def test_where_nothing_was_new_nothing_is_caught_up(self, as_student, course, lessons, whisk):
        RecordFactory(lesson=lessons[0], taught={whisk: "reviewed"})
        text = page(as_student, course)
        assert "Nothing was new." in text
        assert "caught up" not in text

    def test_a_lesson_of_before_one_joined_says_so(self, as_student, student, course, missed):
        assert [line.why for line in read(as_student, course).lessons] == ["you weren’t there"]
        Enrolment.objects.filter(course=course, person=student).update(joined=dt.date(2026, 1, 12))
        assert [line.why for line in read(as_student, course).lessons] == ["before you joined"]
        assert "before you joined" in page(as_student, course)

    def test_what_was_danced_again_while_one_was_there_is_said_and_made_good_for(
        self, as_student, student, course, lessons, missed, plan, whisk
    ):
        there = RecordFactory(lesson=lessons[1], taught={whisk: "reviewed"})
        assert "you danced it again" not in page(as_student, course)
        Attendance.objects.create(record=there, person=student, role="F")
        assert "whisk</a> (you danced it again on 13 January)" in page(as_student, course)
        (line,) = read(as_student, course).lessons
        assert (line.open_figures, line.offers) == ((), ())

    def test_the_end_of_what_one_saw_begun_is_to_be_caught_up(
        self, as_student, student, course, lessons, plan, whisk
    ):
        begun = RecordFactory(lesson=lessons[0], taught={whisk: "finish_later"})
        Attendance.objects.create(record=begun, person=student, role="F")
        RecordFactory(lesson=lessons[1], taught={whisk: "introduced"})
        (line,) = read(as_student, course).lessons
        assert line.open_figures == (whisk,)

    def test_what_was_learnt_in_a_private_lesson_needs_no_catching_up(
        self, as_student, student, course, missed, plan, whisk
    ):
        PrivateLessonFactory(person=student).worked_on.create(figure=whisk, outcome="introduced")
        (line,) = read(as_student, course).lessons
        assert line.open_figures == ()

    def test_what_was_danced_in_the_other_course_is_made_good_for(
        self, as_student, student, course, thursdays, missed, plan, whisk
    ):
        there = RecordFactory(lesson=thursdays[0], taught={whisk: "reviewed"})
        Attendance.objects.create(record=there, person=student, role="F")
        (line,) = read(as_student, course).lessons
        assert line.open_figures == ()

    def test_who_was_always_there_reads_so(self, as_student, course):
        assert "You were in every lesson" in page(as_student, course)

    @pytest.mark.parametrize("size", [1, 4])
    def test_it_costs_the_same_however_much_was_missed(
        self, as_student, course, other, lessons, thursdays, size, django_assert_num_queries
    ):
        plan = PlanFactory(course=other, status="published")
        for place in range(size):
            figure = FigureFactory(level=course.levels.get())
            RecordFactory(lesson=lessons[place], taught={figure: "introduced"})
            PlanFigureFactory(plan=plan, figure=figure, new_in=thursdays[1], again_in=[thursdays[2]])
            EnrolmentFactory(course=other)
            CatchUpFactory(lesson=thursdays[1])
        with django_assert_num_queries(19):
            page(as_student, course)


def page(client, course):
    return client.get(reverse("lessons:missed", args=[course.pk])).content.decode()


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


class TestTheBalanceOfRoles:
    """A place to catch up is given within the difference between the roles that the course allows, as a place
    in the course is; common practice, no source."""

    @pytest.fixture
    def other(self, other):
        """Three leaders and three followers dance there, of eight places each; one more is allowed."""
        other.places_followers, other.allowed_difference = 8, 1
        other.save()
        for role in "LLLFFF":
            EnrolmentFactory(course=other, role=role)
        return other

    def test_no_more_may_come_in_a_role_than_keeps_it(self, as_student, course, thursdays, missed, plan):
        assert [places for _, _, places in offers(as_student, course)] == [1, 1]
        CatchUpFactory(lesson=thursdays[1], role="F")
        assert [places for _, _, places in offers(as_student, course)] == [0, 1]
        answer = ask(as_student, course, thursdays[1], missed)
        assert "The last place for followers on Thursday 15 January has just been taken" in (
            answer.content.decode()
        )
        assert not CatchUp.objects.filter(person__username="learner").exists()

    def test_one_of_the_other_role_makes_room(self, as_student, course, thursdays, missed, plan):
        CatchUpFactory(lesson=thursdays[1], role="L")
        assert [places for _, _, places in offers(as_student, course)] == [2, 1]

    def test_one_who_dances_both_can_be_turned_to(
        self, as_student, enrolled, course, other, thursdays, missed, plan
    ):
        """The student dances both, and so does a guest who comes as a follower."""
        guest = CatchUpFactory(lesson=thursdays[1], missed=missed, role="F")
        EnrolmentFactory(course=course, person=guest.person, role="F", dances_both=True)
        assert [places for _, _, places in offers(as_student, course)] == [2, 1]
        enrolled.dances_both = True
        enrolled.save()
        assert [places for _, _, places in offers(as_student, course)] == [4, 5]

    def test_who_left_and_who_waits_take_no_part(self, as_student, course, other, thursdays, missed, plan):
        EnrolmentFactory(course=other, role="F", waiting=True)
        EnrolmentFactory(course=other, role="F", left=TODAY)
        assert [places for _, _, places in offers(as_student, course)] == [1, 1]


class TestACouple:
    """Two who are booked together may catch up together: they leave the difference as it is."""

    @pytest.fixture
    def partner(self, course, enrolled):
        partner = PersonFactory(name="Quill Anstey", roles=["student"])
        theirs = EnrolmentFactory(course=course, person=partner, role="L", couple_with=enrolled)
        enrolled.couple_with = theirs
        enrolled.save()
        return partner

    @pytest.fixture
    def other(self, other):
        """Nobody more may come alone."""
        other.allowed_difference = 0
        other.save()
        return other

    def for_both(self, client, course, lesson, missed):
        sent = {"lesson": lesson.pk, "missed": missed.pk, "for": "both"}
        answer = client.post(reverse("lessons:catch-up-ask", args=[course.pk]), sent, follow=True)
        return answer.content.decode()

    def test_comes_together_where_one_alone_would_be_too_many(
        self, as_student, student, partner, course, thursdays, missed, plan
    ):
        page = as_student.get(reverse("lessons:missed", args=[course.pk])).content.decode()
        assert "Ask for both of us" in page
        assert "only together with Quill" in page
        assert "Ask to come" not in page
        said = self.for_both(as_student, course, thursdays[1], missed)
        assert "You have asked for Thursday 15 January for both of you." in said
        held = {row.person: (row.role, row.comes_along) for row in CatchUp.objects.holding()}
        assert held == {student: ("F", False), partner: ("L", True)}

    def test_both_places_are_there_or_neither_is_given(
        self, as_student, partner, course, other, thursdays, missed, plan
    ):
        other.places_leaders = 0
        other.save()
        assert "There is no place for two any more" in self.for_both(as_student, course, thursdays[1], missed)
        assert not CatchUp.objects.exists()

    def test_whoever_is_no_couple_asks_alone(self, as_student, course, thursdays, missed, plan):
        page = as_student.get(reverse("lessons:missed", args=[course.pk])).content.decode()
        assert "Ask for both of us" not in page
        assert "You are not booked as a couple" in self.for_both(as_student, course, thursdays[1], missed)

    def test_nothing_is_learnt_of_where_the_partner_was(
        self, as_student, partner, course, thursdays, missed, plan
    ):
        Attendance.objects.create(record=missed.record, person=partner, role="L")
        page = as_student.get(reverse("lessons:missed", args=[course.pk])).content.decode()
        assert "Ask for both of us" in page
        assert "for both of you" in self.for_both(as_student, course, thursdays[1], missed)

    def test_the_partner_reads_it_and_may_stay_away(
        self, as_student, partner, course, thursdays, missed, plan, client
    ):
        self.for_both(as_student, course, thursdays[1], missed)
        client.force_login(partner)
        assert "catch-up lesson in" in client.get(reverse("lessons:home")).content.decode()
        theirs = CatchUp.objects.get(person=partner)
        client.post(reverse("lessons:catch-up-withdraw", args=[theirs.pk]))
        assert [row.person_id for row in CatchUp.objects.holding()] != [partner.pk]
        assert CatchUp.objects.holding().count() == 1

    def test_the_instructor_reads_who_comes_along(
        self, as_student, partner, course, thursdays, missed, plan, instructor, client
    ):
        self.for_both(as_student, course, thursdays[1], missed)
        client.force_login(instructor)
        sheet = client.get(reverse("lessons:lesson", args=[thursdays[1].pk])).content.decode()
        assert "comes along with a partner" in sheet


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
