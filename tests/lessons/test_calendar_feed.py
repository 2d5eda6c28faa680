"""A person's calendar by a private address: read back with icalendar, its times checked with zoneinfo."""

import datetime as dt
import re
import zoneinfo

import icalendar
import pytest
from django.urls import reverse

from lessons.actions.calendar import close_days
from lessons.actions.changes import cancel_lesson, move_lesson, restore_lesson
from lessons.models import CalendarAddress, LessonSession
from tests.factories import (
    CatchUpFactory,
    CourseFactory,
    EnrolmentFactory,
    PersonFactory,
    PrivateLessonFactory,
    RoomFactory,
    TermFactory,
    calendar_address,
    weekly_lessons,
)

LONDON = zoneinfo.ZoneInfo("Europe/London")


@pytest.fixture(autouse=True)
def autumn(settings, school):
    school.town = "Quenby"
    school.save()
    settings.TODAY = "2026-10-14"


@pytest.fixture
def course():
    term = TermFactory(first_day=dt.date(2026, 9, 7), last_day=dt.date(2026, 12, 13))
    return CourseFactory(name="Waltz, on Tuesdays", term=term)


@pytest.fixture
def lessons(course):
    """Tuesdays 20 and 27 October, with the clocks put back between them, and 3 November: 19:30."""
    return weekly_lessons(course, 3, first=dt.date(2026, 10, 20), room=RoomFactory(name="Long Room"))


@pytest.fixture
def enrolled(course, student):
    return EnrolmentFactory(course=course, person=student, joined=dt.date(2026, 9, 7))


@pytest.fixture
def secret(student, enrolled, lessons):
    return calendar_address("nobody guesses this", student)


def fetch(client, secret):
    return client.get(reverse("lessons:calendar", args=[secret]))


def events(client, secret):
    """In order of time, as a program reads them that knows nothing of this one."""
    feed = icalendar.Calendar.from_ical(fetch(client, secret).content)
    return sorted(feed.walk("VEVENT"), key=lambda event: event["DTSTART"].dt)


def test_lessons_stand_at_the_right_moment_on_both_sides_of_the_change_of_clocks(client, secret):
    """Computed from the IANA time zones: 19:30 in London is 18:30 UTC on 20 October 2026 and 19:30 UTC a week
    later."""
    first, second, _ = events(client, secret)
    assert first["DTSTART"].dt == dt.datetime(2026, 10, 20, 18, 30, tzinfo=dt.UTC)
    assert second["DTSTART"].dt == dt.datetime(2026, 10, 27, 19, 30, tzinfo=dt.UTC)
    for event in (first, second):
        assert event["DTSTART"].dt.astimezone(LONDON).time() == dt.time(19, 30)
        assert event["DTEND"].dt - event["DTSTART"].dt == dt.timedelta(minutes=60)


@pytest.mark.parametrize(
    ("zone", "day", "moment"),
    [
        ("America/New_York", dt.date(2026, 10, 27), dt.datetime(2026, 10, 27, 23, 30)),
        ("America/New_York", dt.date(2026, 11, 3), dt.datetime(2026, 11, 4, 0, 30)),
        ("Europe/London", dt.date(2026, 3, 31), dt.datetime(2026, 3, 31, 18, 30)),
        ("Asia/Kathmandu", dt.date(2026, 10, 20), dt.datetime(2026, 10, 20, 13, 45)),
    ],
)
def test_the_schools_own_zone_says_when_that_is(client, school, secret, lessons, zone, day, moment, settings):
    settings.TODAY = day.isoformat()
    school.time_zone = zone
    school.save()
    LessonSession.objects.exclude(pk=lessons[0].pk).delete()
    LessonSession.objects.update(date=day)
    CalendarAddress.objects.get().person.enrolments.update(joined=dt.date(2026, 1, 1))
    assert moment.replace(tzinfo=dt.UTC) in [event["DTSTART"].dt for event in events(client, secret)]


def test_an_event_says_what_where_and_stands(client, secret):
    event = events(client, secret)[0]
    assert event["SUMMARY"] == "Waltz, on Tuesdays"
    assert event["LOCATION"] == "Long Room, Testing Hall, Quenby"
    assert event["STATUS"] == "CONFIRMED"
    assert event["SEQUENCE"] == 0


def test_the_file_is_what_the_standard_asks_for(client, secret):
    """RFC 5545, 3.1: lines of 75 octets at most, ended by CR LF; 3.6: PRODID and VERSION once; 3.6.1: UID and
    DTSTAMP, in UTC, once an event."""
    answer = fetch(client, secret)
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert all(len(line) <= 75 for line in answer.content.split(b"\r\n"))
    assert answer.content.endswith(b"END:VCALENDAR\r\n")
    assert answer.content.count(b"\n") == answer.content.count(b"\r\n")
    feed = icalendar.Calendar.from_ical(answer.content)
    assert feed["VERSION"] == "2.0"
    assert feed["PRODID"]
    assert feed.errors == []
    for event in feed.walk("VEVENT"):
        assert event["UID"]
        assert event["DTSTAMP"].dt.utcoffset() == dt.timedelta()
        assert event.errors == []


class TestAChangedLessonIsTheSameEvent:
    def changed(self, client, secret, before, change):
        """The event with the identifier that stood before the change."""
        change()
        after = {event["UID"]: event for event in events(client, secret)}
        assert after.keys() == {event["UID"] for event in before}
        return after[before[0]["UID"]]

    def test_moved(self, client, secret, lessons, director):
        before = events(client, secret)
        day, start, room = dt.date(2026, 10, 22), dt.time(18, 0), RoomFactory(name="Loft")
        event = self.changed(
            client,
            secret,
            before,
            lambda: move_lesson(lesson=lessons[0], date=day, start=start, room=room, by=director),
        )
        assert event["DTSTART"].dt.astimezone(LONDON) == dt.datetime(2026, 10, 22, 18, tzinfo=LONDON)
        assert event["LOCATION"].startswith("Loft")
        assert event["SEQUENCE"] == 1

    def test_cancelled_and_brought_back(self, client, secret, lessons, director):
        before = events(client, secret)
        event = self.changed(
            client, secret, before, lambda: cancel_lesson(lesson=lessons[0], because="storm", by=director)
        )
        assert (event["STATUS"], event["SEQUENCE"]) == ("CANCELLED", 1)
        assert event["SUMMARY"] == "No class: Waltz, on Tuesdays"
        assert event["DESCRIPTION"] == "storm"
        event = self.changed(client, secret, before, lambda: restore_lesson(lesson=lessons[0], by=director))
        assert (event["STATUS"], event["SEQUENCE"]) == ("CONFIRMED", 2)

    def test_fallen_out_by_days_without_class(self, client, secret, lessons, director):
        before = events(client, secret)
        day = lessons[0].date
        event = self.changed(
            client,
            secret,
            before,
            lambda: close_days(first_day=day, last_day=day, reason="hall hired out", by=director),
        )
        assert (event["STATUS"], event["SEQUENCE"]) == ("CANCELLED", 1)

    def test_a_note_or_another_kind_of_lesson_is_no_new_revision(self, client, secret, lessons):
        lessons[0].note = "bring water"
        lessons[0].save(update_fields=["note"])
        LessonSession.objects.filter(pk=lessons[0].pk).update(note="bring more")
        assert events(client, secret)[0]["SEQUENCE"] == 0


def test_only_ones_own_lessons_stand_in_it(client, secret, enrolled, lessons, course):
    weekly_lessons(CourseFactory(term=course.term), 2, first=dt.date(2026, 10, 21))
    waiting = CourseFactory(term=course.term)
    EnrolmentFactory(course=waiting, person=enrolled.person, waiting=True, joined=dt.date(2026, 9, 7))
    weekly_lessons(waiting, 2, first=dt.date(2026, 10, 21))
    assert len(events(client, secret)) == 3
    enrolled.left = dt.date(2026, 10, 27)
    enrolled.save()
    assert len(events(client, secret)) == 1


def test_catch_up_and_private_lessons_stand_in_it(client, secret, student, course, lessons):
    other = CourseFactory(name="Waltz on Thursdays", term=course.term)
    confirmed, asked, declined = weekly_lessons(other, 3, first=dt.date(2026, 10, 22))
    for lesson, state in ((confirmed, "confirmed"), (asked, "asked"), (declined, "declined")):
        CatchUpFactory(lesson=lesson, missed=lessons[0], person=student, state=state)
    given_by = PersonFactory(name="Tobin Marl")
    PrivateLessonFactory(person=student, instructor=given_by, date=dt.date(2026, 10, 21), version=3)
    PrivateLessonFactory(date=dt.date(2026, 10, 21))
    found = {str(event["SUMMARY"]): event for event in events(client, secret)}
    thursdays = [event for event in events(client, secret) if event["SUMMARY"] == "Waltz on Thursdays"]
    assert [event["STATUS"] for event in thursdays] == ["CONFIRMED", "TENTATIVE"]
    private = found["Private lesson with Tobin"]
    assert private["DTSTART"].dt.astimezone(LONDON) == dt.datetime(2026, 10, 21, 17, tzinfo=LONDON)
    assert private["SEQUENCE"] == 2


def test_an_instructor_reads_the_lessons_they_give(client, lessons, course):
    teacher = PersonFactory(roles=["instructor"])
    course.courseinstructor_set.create(person=teacher)
    assert len(events(client, calendar_address("a teacher's", teacher))) == 3


class TestTheAddress:
    def make(self, client, **sent):
        return client.post(reverse("lessons:my-calendar"), sent, follow=True)

    def test_it_is_shown_once_and_opens_the_calendar_without_signing_in(
        self, client, student, enrolled, lessons
    ):
        client.force_login(student)
        answer = self.make(client)
        address = answer.context["address"]
        assert address in answer.content.decode()
        assert address not in client.get(reverse("lessons:my-calendar")).content.decode()
        client.logout()
        assert client.get(address).status_code == 200

    def test_loading_the_page_again_ends_nothing(self, client, student, enrolled):
        client.force_login(student)
        answer = self.make(client)
        assert answer.redirect_chain
        address = answer.context["address"]
        again = client.get(reverse("lessons:my-calendar")).content.decode()
        assert "It cannot be shown again" in again
        assert client.get(address).status_code == 200

    def test_asking_for_the_head_of_the_page_takes_the_address_from_nobody(self, client, student, enrolled):
        client.force_login(student)
        page = client.post(reverse("lessons:my-calendar")).url
        client.head(page)
        assert client.get(page).context["address"]

    def test_what_is_kept_does_not_open_it(self, client, student, enrolled):
        client.force_login(student)
        secret = self.make(client).context["address"].rsplit("/", 1)[1].removesuffix(".ics")
        kept = CalendarAddress.objects.get()
        assert secret not in (kept.secret_hash, str(kept.events_in))
        assert fetch(client, kept.secret_hash).status_code == 404
        assert len(secret) >= 43

    def test_renewed_the_old_one_stops_and_events_stay_the_same(
        self, client, student, enrolled, lessons, secret
    ):
        before = [event["UID"] for event in events(client, secret)]
        client.force_login(student)
        address = self.make(client).context["address"]
        assert fetch(client, secret).status_code == 404
        renewed = icalendar.Calendar.from_ical(client.get(address).content).walk("VEVENT")
        assert sorted(event["UID"] for event in renewed) == sorted(before)

    def test_taken_away_it_opens_nothing(self, client, student, secret):
        client.force_login(student)
        self.make(client, end="1")
        assert fetch(client, secret).status_code == 404
        assert not CalendarAddress.objects.exists()

    def test_one_that_never_was_and_one_that_was_renewed_are_told_apart_by_nothing(
        self, client, student, secret
    ):
        client.force_login(student)
        self.make(client)
        client.logout()
        gone, never = fetch(client, secret), fetch(client, "never was")
        said = [re.sub(rb'X-CSRFToken": "[^"]*', b"", answer.content) for answer in (gone, never)]
        assert gone.status_code == never.status_code == 404
        assert said[0] == said[1]

    def test_who_has_left_the_school_has_no_calendar(self, client, student, secret):
        student.is_active = False
        student.save()
        assert fetch(client, secret).status_code == 404

    def test_no_go_between_keeps_it(self, client, secret):
        answer = fetch(client, secret)
        assert "no-store" in answer["Cache-Control"]
        assert answer["X-Robots-Tag"] == "noindex, nofollow"

    def test_nobody_elses_address_is_made_or_shown(self, client, student, instructor, secret):
        client.force_login(instructor)
        self.make(client, person=student.pk)
        assert fetch(client, secret).status_code == 200
        assert CalendarAddress.objects.filter(person=instructor).exists()


@pytest.mark.parametrize("size", [2, 8])
def test_the_calendar_costs_the_same_however_long(
    client, student, secret, course, size, django_assert_num_queries
):
    weekly_lessons(course, size, first=dt.date(2026, 11, 10))
    for number in range(size):
        PrivateLessonFactory(person=student, date=dt.date(2026, 10, 1 + number))
        other = weekly_lessons(CourseFactory(term=course.term), 1, first=dt.date(2026, 11, 11))
        CatchUpFactory(lesson=other[0], person=student)
    with django_assert_num_queries(7):
        fetch(client, secret)
