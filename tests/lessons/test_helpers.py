"""Helpers who can be called: who even up the numbers of an evening without being enrolled in its course.

When a role is short is told in test_helpers_needed.py.
"""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from icalendar import Calendar

from lessons.actions.covers import make_cover_link
from lessons.actions.helpers import call_helper, call_off, list_helper
from lessons.models import Attendance, CalendarAddress, Helper, HelperCall
from lessons.people.calendar_feed import calendar_feed
from school.models import Person
from tests.factories import (
    CourseFactory,
    DanceFactory,
    EnrolmentFactory,
    HelperCallFactory,
    HelperFactory,
    PersonFactory,
    RoomFactory,
    calendar_address,
    weekly_lessons,
)


@pytest.fixture(autouse=True)
def first_evening(settings, school):
    settings.TODAY = "2026-01-06"


@pytest.fixture
def lesson(course):
    """One leader and three followers are enrolled."""
    for name, role in {"Ada Finch": "L", "Una Rook": "F", "Viv Dunnock": "F", "Wren Teal": "F"}.items():
        EnrolmentFactory(course=course, person=PersonFactory(name=name, roles=["student"]), role=role)
    return weekly_lessons(course, 2)[0]


@pytest.fixture
def piet(lesson):
    return HelperFactory(person__name="Piet Lammas", person__email="piet@example.org").person


@pytest.fixture
def nerys(lesson):
    return HelperFactory(person__name="Nerys Gorwell", role="L").person


def partners(lesson):
    return reverse("lessons:partners", args=[lesson.pk])


def call(client, lesson, person, role="L"):
    address = reverse("lessons:helper-call", args=[lesson.pk])
    return client.post(
        address, {"person": person.pk, "role": role, "next": partners(lesson)}, follow=True
    ).content.decode()


def take_back(client, called):
    off = reverse("lessons:helper-call-off", args=[called.lesson_id, called.pk])
    return client.post(off, {"next": partners(called.lesson)}, follow=True).content.decode()


class TestList:
    def test_the_director_says_who_can_be_called_as_what_in_which_dances(self, as_director, lesson):
        piet, waltz = PersonFactory(name="Piet Lammas", email="piet@example.org"), lesson.course.dance
        address = reverse("lessons:helper", args=[piet.pk])
        assert "Can Piet be called?" in as_director.get(address).content.decode()
        text = as_director.post(address, {"role": "L", "dances": [waltz.pk]}, follow=True).content.decode()
        assert "leads: " + waltz.name in text
        assert "piet@example.org" in text
        as_director.post(address, {"role": "B"})
        assert Helper.objects.get().role == "B"
        assert not Helper.objects.get().dances.exists()

    def test_until_they_are_taken_off_it(self, as_director, piet, lesson):
        HelperCallFactory(lesson=lesson, person=piet)
        as_director.post(reverse("lessons:helper-off", args=[piet.pk]))
        assert not Helper.objects.exists()
        assert HelperCall.objects.filter(person=piet).exists()

    def test_what_is_wrong_stands_at_its_field(self, as_director, lesson):
        address = reverse("lessons:helper", args=[PersonFactory().pk])
        refused = as_director.post(address, {"role": "X"})
        assert refused.status_code == 200
        assert refused.context["form"].errors["role"]

    def test_whoever_has_left_is_not_on_it(self, director, lesson):
        gone = PersonFactory(name="Ivo Tarn", is_active=False)
        with pytest.raises(ValidationError, match="Ivo Tarn has left the school"):
            list_helper(person=gone, role="B", dances=[], by=director)

    def test_somebody_under_eighteen_comes_with_the_caution(self, as_director, lesson):
        pip = PersonFactory(name="Pip Sandling", is_minor=True)
        text = as_director.get(reverse("lessons:helper", args=[pip.pk])).content.decode()
        assert "the guardian agrees to every evening" in text
        assert "Sandling" not in text


class TestCalling:
    def test_the_pages_say_who_is_short_and_who_can_be_called(self, as_instructor, lesson, piet, nerys):
        HelperFactory(person__name="Follows Alone", role="F")
        HelperFactory(person__name="Another Dance").dances.add(DanceFactory())
        course = reverse("lessons:course", args=[lesson.course_id])
        for page in (partners(lesson), course):
            text = as_instructor.get(page).content.decode()
            assert "Two leaders short. A helper can be called:" in text
            assert "Piet Lammas" in text
            assert "piet@example.org" in text
            assert "Nerys Gorwell" in text
            assert "Follows Alone" not in text
            assert "Another Dance" not in text
        sheet = as_instructor.get(reverse("lessons:lesson", args=[lesson.pk])).content.decode()
        assert "Two leaders short. A helper can be called." in sheet

    def test_who_was_called_is_noted_by_whom_and_shown(self, as_instructor, instructor, lesson, piet, nerys):
        assert "One leader short." in call(as_instructor, lesson, piet)
        noted = HelperCall.objects.get()
        assert (noted.lesson, noted.person, noted.role, noted.called_by) == (lesson, piet, "L", instructor)
        sheet = as_instructor.get(reverse("lessons:lesson", args=[lesson.pk])).content.decode()
        assert "<b>Called</b> Piet as leader" in sheet
        called = as_instructor.get(reverse("lessons:teachers")).content.decode()
        assert lesson.course.key in called

    def test_a_called_helper_is_a_choice_for_the_changes_of_partner(self, as_instructor, lesson, piet):
        call(as_instructor, lesson, piet)
        answer = as_instructor.get(partners(lesson))
        assert [field.label for field in answer.context["form"].helper_fields] == ["Piet", "Tobin"]
        assert "Called in: Piet as leader." in answer.content.decode()

    def test_who_dances_both_makes_room_for_who_was_called(self, as_instructor, course):
        """One leads, one follows, one enrolled as follower dances either, and a leader is called."""
        EnrolmentFactory(course=course, person__name="Ada Finch", role="L")
        EnrolmentFactory(course=course, person__name="Una Rook", role="F")
        EnrolmentFactory(course=course, person__name="Quill Sorrow", role="F", dances_both=True)
        lesson = weekly_lessons(course, 1)[0]
        nerys = HelperFactory(person__name="Nerys Gorwell", role="L").person
        assert "One leader short." in as_instructor.get(partners(lesson)).content.decode()
        text = call(as_instructor, lesson, nerys)
        assert "short" not in text
        assert "Called in: Nerys as leader." in text
        assert "Quill follows." in text
        rounds = as_instructor.get(partners(lesson)).context["changes"].rotation.rounds
        assert all(len(one.couples) == 2 and not one.resting for one in rounds)

    def test_who_was_called_is_expected_in_the_room_once(
        self, client, as_instructor, instructor, lesson, piet
    ):
        """One leader, three followers and one instructor; a helper who is one of these is counted already."""
        lesson.room.people = 30
        lesson.room.save()
        sheet = reverse("lessons:lesson", args=[lesson.pk])

        def expected():
            rules = " ".join(rule.sentence for rule in as_instructor.get(sheet).context["room_rules"])
            return rules.split("whoever teaches: ")[1].split(".")[0]

        assert expected() == "5"
        call(as_instructor, lesson, piet)
        assert expected() == "6"
        secret = make_cover_link(lesson=lesson, by=instructor)[1]
        cover = client.get(reverse("lessons:cover", args=[secret]))
        assert "whoever teaches: 6." in cover.content.decode()
        for there in (lesson.course.enrolments.first().person, instructor):
            HelperCallFactory(lesson=lesson, person=there)
        assert expected() == "6"
        EnrolmentFactory(course=lesson.course, person=piet, role="L", joined=lesson.date)
        assert expected() == "6"

    def test_they_dance_only_what_they_can(self, as_instructor, lesson, nerys):
        call(as_instructor, lesson, nerys)
        turned = {"asked": "1", "minutes": "9", "each": "3", f"helps_{nerys.pk}": "on"}
        for row in lesson.course.enrolments.all():
            role = "L" if row.person.first_name != "Una" else "F"
            turned |= {f"here_{row.person_id}": "on", f"role_{row.person_id}": role}
        assert "Called in" not in as_instructor.get(partners(lesson), turned).content.decode()

    def test_the_record_asks_whether_they_came_and_keeps_their_role(self, as_instructor, lesson, piet):
        call(as_instructor, lesson, piet)
        form = as_instructor.get(reverse("lessons:record", args=[lesson.pk])).context["sheet"]
        asked = {who.person: (who.role, who.was_there) for who in form.dancers}
        assert asked[piet] == ("L", True)
        sent = {"version": "", "present": [piet.pk], "unnamed_guests": "", "note": "", "early": "on"}
        as_instructor.post(reverse("lessons:record", args=[lesson.pk]), sent)
        assert Attendance.objects.get(person=piet).role == "L"

    def test_called_off_they_are_a_choice_again(self, as_instructor, lesson, piet):
        call(as_instructor, lesson, piet)
        text = take_back(as_instructor, HelperCall.objects.get())
        assert "Piet Lammas is called off." in text
        assert "Two leaders short. A helper can be called:" in text

    def test_they_read_it_on_their_own_pages_and_in_their_calendar(self, client, lesson, piet):
        HelperCallFactory(lesson=lesson, person=piet)
        piet.personrole_set.create(role="student")
        client.force_login(piet)
        assert "you are called to help in" in client.get(reverse("lessons:home")).content.decode()
        assert "called as a helper" in client.get(reverse("lessons:kept-about-me")).content.decode().lower()
        calendar_address("of piet", person=piet)
        feed = Calendar.from_ical(calendar_feed(CalendarAddress.objects.get(), None))
        assert [str(event["description"]) for event in feed.walk("VEVENT")] == ["called to help"]

    def test_nobody_is_short_where_the_numbers_are_even(self, as_instructor, course):
        for role in "LF":
            EnrolmentFactory(course=course, role=role)
        lesson = weekly_lessons(course, 1)[0]
        HelperFactory()
        assert "short" not in as_instructor.get(partners(lesson)).content.decode()

    def test_with_nobody_on_the_list_it_says_where_the_list_is(self, as_instructor, lesson):
        text = as_instructor.get(partners(lesson)).content.decode()
        assert "Two leaders short. Nobody on the" in text
        assert reverse("lessons:teachers") in text

    def test_who_is_not_needed_any_more_is_said_to_be_and_nobody_is_called_for_the_other_role(
        self, as_director, lesson, piet
    ):
        for _ in range(2):
            EnrolmentFactory(course=lesson.course, role="L")
        HelperCallFactory(lesson=lesson, person=piet, role="L")
        text = as_director.get(partners(lesson)).content.decode()
        assert "called, not needed any more" in text
        assert "short." not in text


class TestTold:
    """By e-mail, where the school sends mail and an address is kept; the page says whether one went."""

    @pytest.fixture
    def pip(self, lesson):
        """Under 18: the address is the guardian's."""
        child = PersonFactory(
            name="Pip Sandling", is_minor=True, guardian_name="Orla Sandling", email="orla@example.org"
        )
        return HelperFactory(person=child).person

    def test_what_for_when_and_where(self, as_instructor, lesson, piet, mailoutbox):
        assert "Ask first whether they come" in as_instructor.get(partners(lesson)).content.decode()
        text = call(as_instructor, lesson, piet)
        assert "Piet was told by e-mail, at piet@example.org." in text
        (mail,) = mailoutbox
        assert mail.to == ["piet@example.org"]
        assert mail.subject == "You are called to help on Tuesday 6 January"
        assert mail.body.startswith("Hello Piet,\n\nTobin calls you to even up the numbers")
        assert "as leader:" in mail.body
        for said in (lesson.course.name, "Tuesday 6 January, 19:30 to 20:30", lesson.room.name):
            assert said in mail.body
        assert "Marl" not in mail.body

    def test_that_they_are_not_needed_once(self, as_instructor, lesson, piet, mailoutbox):
        called = HelperCallFactory(lesson=lesson, person=piet)
        text = take_back(as_instructor, called)
        assert "Piet Lammas is called off. Piet was told by e-mail, at piet@example.org." in text
        (mail,) = mailoutbox
        assert mail.subject == "You are not needed on Tuesday 6 January"
        assert "you were called to help and are not needed after all" in mail.body
        take_back(as_instructor, called)
        assert len(mailoutbox) == 1

    def test_of_somebody_under_eighteen_the_guardian(self, as_instructor, lesson, pip, mailoutbox):
        assert "The guardian was told by e-mail, at orla@example.org." in call(as_instructor, lesson, pip)
        take_back(as_instructor, HelperCall.objects.get())
        called, off = mailoutbox
        assert called.to == off.to == ["orla@example.org"]
        assert called.body.startswith("Hello Orla Sandling,\n\nTobin calls Pip, for whom you answer")
        assert "Pip comes only if you agree to this evening." in called.body
        assert off.body.startswith("Hello Orla Sandling,\n\nPip, for whom you answer, was called to help")
        assert (called.subject, off.subject) == (
            "Pip is called to help on Tuesday 6 January",
            "Pip is not needed on Tuesday 6 January",
        )

    def test_without_an_address_somebody_has_to_tell_them(self, as_instructor, lesson, nerys, mailoutbox):
        said = "No e-mail address is kept, so no mail went. Tell them."
        assert said in call(as_instructor, lesson, nerys)
        assert said in take_back(as_instructor, HelperCall.objects.get())
        assert mailoutbox == []

    def test_nor_has_the_guardian_one(self, as_instructor, lesson, pip):
        pip.email = ""
        pip.save()
        assert "so no mail went. Tell the guardian." in call(as_instructor, lesson, pip)

    @pytest.mark.parametrize(
        ("setting", "said"),
        [
            ({"SENDS_MAIL": False}, "this school has no mail server. Tell them."),
            ({"PRINTS_MAIL": True}, "The mail is printed where the server was started. Tell them."),
        ],
        ids=["no mail server", "the demo"],
    )
    def test_of_a_mail_that_goes_to_nobody_the_truth_is_said(
        self, as_instructor, lesson, piet, settings, setting, said
    ):
        for name, value in setting.items():
            setattr(settings, name, value)
        page = as_instructor.get(partners(lesson)).content.decode()
        assert "here it is only noted that they come" in page
        assert "Note as called" in page
        text = call(as_instructor, lesson, piet)
        assert said in text
        assert "told by e-mail" not in text

    def test_a_mail_server_that_does_not_answer_changes_nothing(self, as_instructor, lesson, piet, settings):
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "localhost", 1
        assert "The mail could not be sent. Tell them." in call(as_instructor, lesson, piet)
        assert "The mail could not be sent. Tell them." in take_back(as_instructor, HelperCall.objects.get())
        assert not HelperCall.objects.exists()

    def test_nor_does_what_no_mail_can_carry(self, as_instructor, lesson, piet):
        Person.objects.filter(pk=piet.pk).update(email="piet@example.org\nBcc: all@example.org")
        assert "The mail could not be sent. Tell them." in call(as_instructor, lesson, piet)
        assert HelperCall.objects.filter(person=piet).exists()

    def test_nobody_who_was_refused(self, as_instructor, lesson, piet, mailoutbox):
        EnrolmentFactory(course=lesson.course, person=piet, role="L")
        call(as_instructor, lesson, piet)
        assert mailoutbox == []

    def test_nobody_once_the_evening_is_over(self, as_instructor, lesson, piet, mailoutbox, settings):
        called = HelperCallFactory(lesson=lesson, person=piet)
        settings.TODAY = (lesson.date + dt.timedelta(days=1)).isoformat()
        assert "Piet Lammas is called off." in take_back(as_instructor, called)
        assert mailoutbox == []


class TestRefusals:
    @pytest.mark.parametrize("role", ["F", "X", ""])
    def test_as_what_they_do_not_dance(self, director, lesson, nerys, role):
        with pytest.raises(ValidationError, match="Nerys Gorwell is not on the list of helpers for this"):
            call_helper(lesson=lesson, person=nerys, role=role, by=director)

    def test_twice_for_one_lesson(self, director, lesson, piet):
        call_helper(lesson=lesson, person=piet, role="L", by=director)
        with pytest.raises(ValidationError, match="called for this lesson already"):
            call_helper(lesson=lesson, person=piet, role="F", by=director)

    def test_who_dances_in_it(self, director, lesson, piet):
        EnrolmentFactory(course=lesson.course, person=piet, role="L")
        with pytest.raises(ValidationError, match="Piet Lammas dances in this lesson then already"):
            call_helper(lesson=lesson, person=piet, role="L", by=director)

    def test_who_dances_elsewhere_at_that_hour(self, director, lesson, piet):
        other = weekly_lessons(CourseFactory(term=lesson.course.term), 1, room=RoomFactory())[0]
        type(other).objects.filter(pk=other.pk).update(date=lesson.date, start=lesson.start)
        EnrolmentFactory(course=other.course, person=piet, role="L", joined=lesson.date)
        with pytest.raises(ValidationError, match=f"dances in {other.course}, "):
            call_helper(lesson=lesson, person=piet, role="L", by=director)

    def test_who_stands_in_front(self, director, instructor, lesson):
        HelperFactory(person=instructor)
        with pytest.raises(ValidationError, match="stands in front of this lesson"):
            call_helper(lesson=lesson, person=instructor, role="L", by=director)

    def test_for_a_lesson_that_is_over(self, director, settings, lesson, piet):
        settings.TODAY = (lesson.date + dt.timedelta(days=1)).isoformat()
        with pytest.raises(ValidationError, match="This lesson is over"):
            call_helper(lesson=lesson, person=piet, role="L", by=director)

    def test_by_an_instructor_of_another_course(self, client, lesson, piet):
        client.force_login(PersonFactory(roles=["instructor"]))
        page = client.get(partners(lesson)).content.decode()
        assert "Piet Lammas" in page
        assert 'name="person"' not in page.split("<button")[0]
        answer = client.post(
            reverse("lessons:helper-call", args=[lesson.pk]), {"person": piet.pk, "role": "L"}
        )
        assert answer.status_code == 403
        assert not HelperCall.objects.exists()

    def test_nonsense_gets_a_sentence_and_leads_to_no_other_site(self, as_instructor, lesson):
        address = reverse("lessons:helper-call", args=[lesson.pk])
        answer = as_instructor.post(address, {"person": "x", "next": "https://elsewhere.example/"})
        assert answer.url == reverse("lessons:home")

    def test_calling_off_twice_is_no_mistake(self, director, lesson, piet):
        called = call_helper(lesson=lesson, person=piet, role="L", by=director)
        call_off(call=called, by=director)
        call_off(call=called, by=director)
        assert not HelperCall.objects.exists()
