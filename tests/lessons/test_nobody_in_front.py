"""Whoever stands in front of a lesson is away, or has left: it is nobody’s then, and is said to be.

That a lesson to come is seen to while somebody can still be found for it is common practice, no source.
"""

import datetime as dt

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from lessons.actions.changes import give_lesson
from lessons.actions.helpers import call_helper
from lessons.evening.cast import cast_of
from lessons.models import Away, CalendarAddress, PrivateLesson
from lessons.people.calendar_feed import calendar_feed
from lessons.people.nobody_in_front import (
    follows_of_leaving,
    in_front_of,
    lessons_nobody_takes,
    needs_of_nobody,
)
from lessons.rules.absence import AWAY, LEFT, STOPPED, InFront, why_not
from school.actions import set_roles
from school.models import Person
from tests.factories import (
    CatchUpFactory,
    CourseFactory,
    EnrolmentFactory,
    HelperFactory,
    LessonFactory,
    PersonFactory,
    PrivateLessonFactory,
    calendar_address,
    weekly_lessons,
)
from tests.two_writers import change


@pytest.fixture(autouse=True)
def third_week(settings, school):
    settings.TODAY = "2026-01-20"


@pytest.fixture
def wren():
    return PersonFactory(name="Wren Pell", roles=["instructor"])


def away(person, *lessons):
    for lesson in lessons:
        Away.objects.create(person=person, first_day=lesson.date, last_day=lesson.date)


def leaves(person):
    person.is_active = False
    person.save()


def teaches_no_more(person, *roles):
    """They stay in the school, with no other roles than these."""
    set_roles(person=person, roles=roles, is_active=True)


def page(client, name, *args):
    return " ".join(client.get(reverse(name, args=args)).content.decode().split())


def private_pages_say(said, as_director, client, whose, to_come, over):
    """Every page of the private lesson to come, of the school and of the one whose it is, who reads first
    names; and none of one that is over."""
    assert page(as_director, "lessons:private-lessons").count(said) == 1
    assert said in page(as_director, "lessons:private-lesson", to_come.pk)
    assert said not in page(as_director, "lessons:private-lesson", over.pk)
    assert said in page(as_director, "school:person", whose.pk)
    client.force_login(whose)
    text = client.get(reverse("lessons:my-level"), follow=True).content.decode()
    assert text.count(said.replace("Wren Pell", "Wren")) == 1


class TestTheRule:
    def test_of_a_lesson_that_is_over_nothing_is_taken_back(self):
        assert why_not(has_left=True, teaches=False, is_away=True, is_over=True) == ""

    def test_who_has_left_is_not_only_away(self):
        assert why_not(has_left=True, teaches=False, is_away=True, is_over=False) == LEFT
        assert why_not(has_left=False, teaches=False, is_away=True, is_over=False) == STOPPED
        assert why_not(has_left=False, teaches=True, is_away=True, is_over=False) == AWAY

    @given(st.lists(st.tuples(st.text(min_size=1), st.sampled_from(["", AWAY, LEFT, STOPPED]))))
    def test_everybody_named_is_there_or_missing_and_nobody_is_both(self, named):
        front = InFront.of(named)
        assert len(front.there) + len(front.missing) == len(named)
        assert bool(front.nobody) == (bool(named) and not front.there)

    def test_two_who_are_missing_are_both_named(self):
        front = InFront.of([("Tobin", AWAY), ("Wren", LEFT)])
        assert front.nobody == "Tobin is away and Wren has left the school; nobody takes this yet."
        assert not front.for_good

    def test_who_has_left_and_who_teaches_no_more_come_back_neither(self):
        front = InFront.of([("Tobin", STOPPED), ("Wren", LEFT)])
        assert front.nobody == (
            "Tobin is no longer an instructor and Wren has left the school; nobody takes this yet."
        )
        assert front.for_good
        assert not InFront.of([("Tobin", STOPPED), ("Wren", "")]).for_good


class TestAway:
    def test_one_of_two_leaves_the_other_in_front(self, course, tonight, instructor, wren):
        course.courseinstructor_set.create(person=wren)
        away(instructor, tonight)
        assert cast_of(tonight).instructors == (wren,)
        assert not cast_of(tonight).front.nobody

    def test_on_other_days_they_stand_there(self, lessons, instructor):
        away(instructor, lessons[2])
        assert [bool(cast_of(lesson).instructors) for lesson in lessons[1:]] == [True, False, True]

    def test_the_lesson_the_course_and_today_say_so_and_lead_to_who_is_free(
        self, as_director, course, lessons, instructor
    ):
        away(instructor, lessons[3])
        said = f"{instructor} is away; nobody takes this yet."
        give = reverse("lessons:lesson-give", args=[lessons[3].pk])
        for name, args in (("lesson", [lessons[3].pk]), ("course", [course.pk]), ("home", [])):
            text = page(as_director, f"lessons:{name}", *args)
            assert said in text, name
            assert give in text, name

    def test_given_to_somebody_it_is_theirs(self, as_director, course, lessons, instructor, director, wren):
        away(instructor, lessons[3])
        give_lesson(lesson=lessons[3], to=wren, by=director)
        assert cast_of(lessons[3]).instructors == (wren,)
        assert "nobody takes this" not in page(as_director, "lessons:home")

    def test_a_cover_who_is_away_too_leaves_it_to_nobody(self, lessons, instructor, director, wren):
        give_lesson(lesson=lessons[3], to=wren, by=director)
        away(wren, lessons[3])
        assert cast_of(lessons[3]).front.nobody == "Wren Pell is away; nobody takes this yet."

    def test_the_form_says_who_stood_there_and_that_nobody_does(self, as_director, lessons, instructor):
        away(instructor, lessons[3])
        text = page(as_director, "lessons:lesson-give", lessons[3].pk)
        assert f"{instructor} is away; nobody takes this yet." in text

    def test_who_asks_to_catch_up_in_it_waits_for_the_director(
        self, as_director, course, lessons, instructor
    ):
        asker = PersonFactory(name="Ada Merrow", roles=["student"])
        CatchUpFactory(person=asker, lesson=lessons[3])
        assert "Ada Merrow asks to catch up" not in page(as_director, "lessons:home")
        away(instructor, lessons[3])
        assert "Ada Merrow asks to catch up" in page(as_director, "lessons:home")

    def test_later_than_six_weeks_from_now_it_has_time(self, settings, course, instructor):
        far = LessonFactory(course=course, date=dt.date(2026, 3, 20))
        away(instructor, far)
        assert lessons_nobody_takes() == []


class TestLeaving:
    def roles(self, client, person, **typed):
        return change(client, reverse("school:person-roles", args=[person.pk]), **typed)

    def test_what_is_left_behind_is_read_first_and_nothing_is_done_yet(
        self, as_director, course, lessons, instructor
    ):
        asked = self.roles(as_director, instructor, is_active=None)
        said = asked.content.decode()
        assert "lessons to come stand there without anybody, the first on Tuesday 20 January." in said
        assert "cannot sign in again" in said
        assert Person.objects.get(pk=instructor.pk).is_active
        seen = asked.context["form"]["seen"].value()
        assert self.roles(as_director, instructor, is_active=None, seen=seen).status_code == 302
        assert not Person.objects.get(pk=instructor.pk).is_active

    def test_who_teaches_nothing_to_come_leaves_at_once(self, as_director, wren):
        assert self.roles(as_director, wren, is_active=None).status_code == 302
        assert not Person.objects.get(pk=wren.pk).is_active

    def test_who_teaches_with_others_leaves_them_alone_with_it(self, course, lessons, instructor, wren):
        course.courseinstructor_set.create(person=wren)
        assert follows_of_leaving(wren, frozenset()) == [
            f"{course}: whoever else teaches it is left alone with it."
        ]

    def test_access_ends_at_once(self, client, instructor, lessons):
        client.force_login(instructor)
        assert client.get(reverse("lessons:home")).status_code == 200
        leaves(instructor)
        assert client.get(reverse("lessons:home")).status_code == 302

    def test_what_they_taught_keeps_their_name_and_what_is_to_come_is_nobodys(self, lessons, instructor):
        leaves(instructor)
        front = in_front_of(lessons[:4])
        assert [front[lesson.pk].there for lesson in lessons[:2]] == [(instructor,)] * 2
        assert [front[lesson.pk].for_good for lesson in lessons[2:4]] == [True, True]

    def test_the_term_the_course_and_today_say_that_it_has_nobody(
        self, as_director, course, lessons, instructor
    ):
        leaves(instructor)
        assert "has no instructor" in page(as_director, "lessons:term")
        assert "Nobody takes its lessons to come." in page(as_director, "lessons:course", course.pk)
        today = page(as_director, "lessons:home")
        assert f"{course}: {instructor} has left the school; nobody takes this yet." in today
        assert reverse("lessons:course-edit", args=[course.pk]) in today

    def test_private_lessons_to_come_are_read_first_listed_and_marked(self, as_director, client, wren):
        ada = PersonFactory(name="Ada Merrow", roles=["student"])
        over, to_come = (
            PrivateLessonFactory(person=ada, instructor=wren, date=dt.date(2026, 1, day)) for day in (13, 22)
        )
        asked = self.roles(as_director, wren, is_active=None).content.decode()
        assert "1 private lesson to come with Ada Merrow: nobody takes it then" in asked
        assert "has left" not in page(as_director, "lessons:private-lessons")
        leaves(wren)
        today = page(as_director, "lessons:home")
        assert "Ada Merrow’s private lesson on Thursday 22 January, 17:00: Wren Pell has left" in today
        assert reverse("lessons:private-edit", args=[to_come.pk]) in today
        assert reverse("lessons:private-edit", args=[over.pk]) not in today
        said = "Wren Pell has left the school; nobody takes this yet"
        private_pages_say(said, as_director, client, ada, to_come, over)

    def test_a_student_reads_today_that_nobody_takes_their_private_lesson(self, client, wren, student):
        PrivateLessonFactory(person=student, instructor=wren, date=dt.date(2026, 1, 20))
        leaves(wren)
        client.force_login(student)
        assert "Wren has left the school; nobody takes this yet" in page(client, "lessons:home")

    def test_a_private_lesson_given_to_somebody_waits_no_more(self, as_director, wren, instructor):
        lesson = PrivateLessonFactory(instructor=wren, date=dt.date(2026, 1, 22))
        leaves(wren)
        assert PrivateLesson.objects.nobody_takes().get() == lesson
        form = as_director.get(reverse("lessons:private-edit", args=[lesson.pk])).context["form"]
        assert wren not in form.fields["instructor"].queryset
        lesson.instructor = instructor
        lesson.save()
        assert not PrivateLesson.objects.nobody_takes().exists()
        assert "nobody takes this" not in page(as_director, "lessons:home")

    def test_two_at_one_form_take_back_nothing_of_each_other(self, as_director, wren):
        address = reverse("school:person-roles", args=[wren.pk])
        form = as_director.get(address).context["form"]
        mine = {"began_from": form["began_from"].value(), "roles": ["student"], "is_active": "on"}
        self.roles(as_director, wren, roles=["instructor", "student"])
        assert as_director.post(address, mine).status_code == 409
        assert Person.objects.get(pk=wren.pk).roles == {"instructor", "student"}


class TestTeachingNoMore:
    """The role is taken away; they stay in the school."""

    def roles(self, client, person, **typed):
        return change(client, reverse("school:person-roles", args=[person.pk]), **typed)

    def test_what_is_left_behind_is_read_first_and_nothing_is_done_yet(
        self, as_director, lessons, instructor
    ):
        asked = self.roles(as_director, instructor, roles=["student"])
        said = asked.content.decode()
        assert "Tobin takes none of these lessons to come any more." in said
        assert "lessons to come stand there without anybody, the first on Tuesday 20 January." in said
        assert "sign in again" not in said
        assert Person.objects.get(pk=instructor.pk).is_instructor
        seen = asked.context["form"]["seen"].value()
        assert self.roles(as_director, instructor, roles=["student"], seen=seen).status_code == 302
        assert Person.objects.get(pk=instructor.pk).roles == {"student"}

    def test_who_only_gets_a_role_or_teaches_nothing_to_come_changes_at_once(
        self, as_director, lessons, instructor, wren
    ):
        assert self.roles(as_director, instructor, roles=["instructor", "student"]).status_code == 302
        assert self.roles(as_director, instructor, roles=["instructor"]).status_code == 302
        assert self.roles(as_director, wren, roles=[]).status_code == 302
        assert Person.objects.get(pk=wren.pk).roles == frozenset()

    def test_what_they_taught_keeps_their_name_and_what_is_to_come_is_nobodys(self, lessons, instructor):
        teaches_no_more(instructor, "student")
        front = in_front_of(lessons[:4])
        assert [front[lesson.pk].there for lesson in lessons[:2]] == [(instructor,)] * 2
        assert [front[lesson.pk].for_good for lesson in lessons[2:4]] == [True, True]
        assert [bool(cast_of(lesson).instructors) for lesson in lessons[:4]] == [True, True, False, False]

    def test_given_the_role_back_they_stand_there_again(self, as_director, lessons, instructor):
        teaches_no_more(instructor)
        assert lessons_nobody_takes()
        teaches_no_more(instructor, "instructor")
        assert lessons_nobody_takes() == []

    def test_the_term_the_course_the_lesson_and_today_say_so(self, as_director, course, lessons, instructor):
        teaches_no_more(instructor)
        said = f"{instructor} is no longer an instructor; nobody takes this yet."
        term = page(as_director, "lessons:term")
        assert "has no instructor" in term
        assert "Tobin (teaches no more)" in term
        shown = page(as_director, "lessons:course", course.pk)
        assert "Nobody takes its lessons to come." in shown
        assert "no longer an instructor</span>" in shown
        assert said in page(as_director, "lessons:lesson", lessons[2].pk)
        whole = page(as_director, "school:person", instructor.pk)
        assert "No longer an instructor, so not in front of lessons to come." in whole
        today = page(as_director, "lessons:home")
        assert f"{course}: {said}" in today
        assert reverse("lessons:course-edit", args=[course.pk]) in today

    def test_who_covered_a_lesson_leaves_it_to_nobody(self, lessons, director, wren):
        give_lesson(lesson=lessons[3], to=wren, by=director)
        teaches_no_more(wren, "student")
        assert [(lesson, front.nobody) for lesson, front in lessons_nobody_takes()] == [
            (lessons[3], "Wren Pell is no longer an instructor; nobody takes this yet.")
        ]

    def test_a_director_without_the_role_gives_private_lessons_and_no_others(
        self, as_director, course, lessons, instructor, wren
    ):
        """Of a course nobody but an instructor can be said to take a lesson; a private one a director may
        give."""
        lesson = PrivateLessonFactory(instructor=instructor, date=dt.date(2026, 1, 22))
        asked = self.roles(as_director, instructor, roles=["director"]).content.decode()
        assert "stand there without anybody" in asked
        assert "private lesson" not in asked.split("Read this first")[1].split("</ul>")[0]
        teaches_no_more(instructor, "director")
        assert lessons_nobody_takes()
        assert not PrivateLesson.objects.nobody_takes().exists()
        asked = self.roles(as_director, instructor, roles=["student"]).content.decode()
        assert "1 private lesson to come with" in asked
        assert "stand there without anybody" not in asked
        teaches_no_more(instructor, "student")
        assert PrivateLesson.objects.nobody_takes().get() == lesson

    def test_private_lessons_to_come_are_read_first_listed_and_marked(self, as_director, client, wren):
        ada = PersonFactory(name="Ada Merrow", roles=["student"])
        over, to_come = (
            PrivateLessonFactory(person=ada, instructor=wren, date=dt.date(2026, 1, day)) for day in (13, 22)
        )
        asked = self.roles(as_director, wren, roles=["student"]).content.decode()
        assert "1 private lesson to come with Ada Merrow: nobody takes it then" in asked
        teaches_no_more(wren, "student")
        said = "Wren Pell is no longer an instructor; nobody takes this yet"
        today = page(as_director, "lessons:home")
        assert f"Ada Merrow’s private lesson on Thursday 22 January, 17:00: {said}" in today
        assert reverse("lessons:private-edit", args=[to_come.pk]) in today
        private_pages_say(said, as_director, client, ada, to_come, over)

    def test_their_calendar_keeps_what_they_taught_and_nothing_to_come(self, school, lessons, instructor):
        for day in (13, 22):
            PrivateLessonFactory(instructor=instructor, date=dt.date(2026, 1, day))
        calendar_address("of tobin", person=instructor)
        teaches_no_more(instructor, "student")
        feed = calendar_feed(CalendarAddress.objects.get(), school).decode()
        assert (
            feed.count("BEGIN:VEVENT") == len([one for one in lessons if one.date < dt.date(2026, 1, 20)]) + 1
        )

    def test_they_can_be_called_to_help_in_their_own_course(self, course, lessons, instructor, director):
        HelperFactory(person=instructor)
        EnrolmentFactory(course=course, role="F")
        teaches_no_more(instructor, "student")
        call = call_helper(lesson=lessons[3], person=instructor, role="L", by=director)
        assert call.person == instructor


@pytest.mark.parametrize("courses", [1, 4])
def test_to_find_them_costs_the_same_queries_at_any_size(courses, wren, django_assert_num_queries):
    for number in range(courses):
        away(wren, *weekly_lessons(CourseFactory(key=f"K{number}", taught_by=[wren]), 4)[3:])
    with django_assert_num_queries(6):
        assert len(lessons_nobody_takes()) == courses


@pytest.mark.parametrize("courses", [1, 4])
def test_to_find_who_teaches_no_more_costs_as_many(courses, wren, django_assert_num_queries):
    for number in range(courses):
        weekly_lessons(CourseFactory(key=f"K{number}", taught_by=[wren]), 4)
    with django_assert_num_queries(5):
        assert len(follows_of_leaving(wren, frozenset())) == courses
    teaches_no_more(wren)
    with django_assert_num_queries(6):
        assert len(lessons_nobody_takes()) == 2 * courses


@pytest.mark.parametrize("lessons", [1, 9])
def test_private_lessons_left_behind_cost_the_same_queries_at_any_number(
    lessons, wren, django_assert_num_queries
):
    for number in range(lessons):
        PrivateLessonFactory(instructor=wren, date=dt.date(2026, 1, 21) + dt.timedelta(days=number))
    with django_assert_num_queries(2):
        assert len(follows_of_leaving(wren, frozenset())) == 1
    leaves(wren)
    with django_assert_num_queries(3):
        assert len(list(needs_of_nobody())) == lessons
