"""A course's page: what it is, who is in it, its lessons and plans."""

import datetime as dt
import re

import pytest
from django.urls import reverse

from lessons.actions.courses import enrol_couple
from lessons.models import Course, Enrolment, LessonSession, PlanStatus
from tests.factories import (
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    HelperFactory,
    PersonFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    weekly_lessons,
)
from tests.lessons.planned import TODAY, as_person, planned

pytestmark = pytest.mark.usefixtures("story_day")


def page(client, course):
    response = client.get(reverse("lessons:course", args=[course.pk]))
    assert response.status_code == 200
    return response


def test_lessons_carry_their_state_and_cancelled_ones_no_number(as_director):
    made = planned()
    made.lessons[4].record.delete()
    LessonSession.objects.filter(pk=made.lessons[6].pk).update(
        cancelled_at=dt.datetime(2026, 2, 1, tzinfo=dt.UTC), cancelled_because="snow"
    )
    LessonSession.objects.filter(pk=made.lessons[7].pk).update(date=dt.date(2026, 2, 25))
    lines = page(as_director, made.course).context["lessons"]
    states = [(line.number, line.state) for line in lines]
    assert states[3:9] == [
        (4, "taught"),
        (5, "no record"),
        (6, "to come"),
        (None, "cancelled"),
        (7, "moved"),
        (8, "to come"),
    ]


def test_the_people_stand_by_role_with_places_and_the_waiting_list_in_order(as_director):
    course = CourseFactory(places_leaders=2)
    EnrolmentFactory(course=course, role="L", person__name="Fitch Ravensby")
    EnrolmentFactory(
        course=course, role="L", waiting=True, joined=dt.date(2026, 1, 9), person__name="Late Later"
    )
    EnrolmentFactory(
        course=course, role="L", waiting=True, joined=dt.date(2026, 1, 8), person__name="Zoe First"
    )
    leaders = page(as_director, course).context["roles"][0]
    assert (len(leaders.inside), leaders.places, leaders.free) == (1, 2, 1)
    assert [row.person.name for row in leaders.waiting] == ["Zoe First", "Late Later"]


def test_each_lesson_says_what_was_new_by_its_record_or_is_planned_to_be(as_director):
    first, second = weekly_lessons(CourseFactory(), 2)
    level = first.course.levels.get()
    whisk, chasse, weave = (FigureFactory(level=level, name=name) for name in ("whisk", "chasse", "weave"))
    plan = PlanFactory(course=first.course, status=PlanStatus.PUBLISHED)
    PlanFigureFactory(plan=plan, figure=whisk, new_in=first)
    PlanFigureFactory(plan=plan, figure=weave, new_in=second)
    RecordFactory(lesson=first, taught={chasse: "finish_later", whisk: "not_reached"})
    lines = page(as_director, first.course).context["lessons"]
    assert [line.new for line in lines] == ["chasse", "weave"]


def test_somebody_is_enrolled(as_director):
    course = CourseFactory()
    person = PersonFactory(name="Wystan Crake", roles=["student"])
    answer = as_director.post(
        reverse("lessons:enrol", args=[course.pk]), {"person": person.pk, "role": "F", "joined": ""}
    )
    assert answer.status_code == 302
    enrolment = Enrolment.objects.get(course=course)
    assert (enrolment.person, enrolment.role, str(enrolment.joined)) == (person, "F", TODAY)


def test_over_the_places_one_stands_on_the_waiting_list_and_comes_off_it_when_somebody_leaves(as_director):
    course = CourseFactory(places_followers=1, allowed_difference=5)
    inside = EnrolmentFactory(course=course, role="F")
    person = PersonFactory(roles=["student"])
    as_director.post(reverse("lessons:enrol", args=[course.pk]), {"person": person.pk, "role": "F"})
    waits = Enrolment.objects.get(person=person)
    assert waits.waiting
    leaving = reverse("lessons:enrolment-end", args=[inside.pk])
    asked = as_director.get(leaving).content.decode()
    assert f"{person} waits for a place as follower and may come in at once." in asked
    inside.refresh_from_db()
    assert inside.left is None, "nobody leaves before it is confirmed"
    as_director.post(leaving)
    waits.refresh_from_db()
    assert not waits.waiting


@pytest.mark.parametrize(
    ("course", "why"),
    [
        ({"places_followers": 3}, "all places for followers are taken"),
        ({"places_followers": 8, "allowed_difference": 2}, "followers would be more than 2 ahead of leaders"),
        (
            {"places_followers": 8, "allowed_difference": 0},
            "there would not be as many leaders as followers",
        ),
    ],
)
def test_why_somebody_waits_is_said_when_enrolling_and_in_the_list(as_director, course, why):
    course = CourseFactory(**course)
    EnrolmentFactory(course=course, role="L")
    EnrolmentFactory.create_batch(3, course=course, role="F")
    person = PersonFactory(name="Zoe Last", roles=["student"])
    answer = as_director.post(
        reverse("lessons:enrol", args=[course.pk]), {"person": person.pk, "role": "F"}, follow=True
    )
    text = answer.content.decode()
    assert f"Zoe Last stands on the waiting list of {course}, because {why}." in text
    assert f"Zoe Last waits because {why}." in text


def test_why_a_couple_waits_is_said_too(as_director):
    course = CourseFactory(places_leaders=1, places_followers=8, allowed_difference=0)
    EnrolmentFactory(course=course, role="L")
    one, other = (PersonFactory(name=name, roles=["student"]) for name in ("Ada Finch", "Bo Rook"))
    enrol_couple(course=course, person=one, partner=other, role="F")
    text = as_director.get(reverse("lessons:course", args=[course.pk])).content.decode()
    for name in ("Ada Finch", "Bo Rook"):
        assert f"{name} waits because all places for leaders are taken." in text


def test_an_unknown_role_is_refused_at_the_field(as_director):
    course = CourseFactory()
    person = PersonFactory(roles=["student"])
    answer = as_director.post(reverse("lessons:enrol", args=[course.pk]), {"person": person.pk, "role": "X"})
    assert "role" in answer.context["form"].errors
    assert not course.enrolments.exists()


def test_a_newcomer_too_late_is_read_first_and_enrolled_all_the_same(as_director):
    course = CourseFactory(newcomers_until=dt.date(2026, 1, 20))
    person = PersonFactory(roles=["student"])
    data, address = {"person": person.pk, "role": "F"}, reverse("lessons:enrol", args=[course.pk])
    answer = as_director.post(address, data)
    assert "Newcomers may join" in answer.context["follows"][0]
    assert "Enrol all the same" in answer.content.decode()
    assert not course.enrolments.exists()
    as_director.post(address, data | {"seen": answer.context["form"].data["seen"]})
    assert course.enrolments.get().person == person


@pytest.mark.parametrize(
    ("joined", "said"),
    [
        ("2031-01-01", "ends on Sunday 29 March: nobody joins after it."),
        ("2001-01-01", "begins only on Monday 5 January."),
    ],
)
def test_nobody_joins_on_a_day_outside_the_term(as_director, joined, said):
    course = CourseFactory()
    person = PersonFactory(roles=["student"])
    data = {"person": person.pk, "role": "F", "joined": joined}
    answer = as_director.post(reverse("lessons:enrol", args=[course.pk]), data)
    assert said in answer.context["form"].errors["joined"][0]
    assert not course.enrolments.exists()


def test_enrolling_before_the_term_begins_counts_from_its_first_day(as_director, settings):
    settings.TODAY = "2025-12-20"
    course = CourseFactory()
    person = PersonFactory(roles=["student"])
    as_director.post(reverse("lessons:enrol", args=[course.pk]), {"person": person.pk, "role": "F"})
    assert course.enrolments.get().joined == course.term.first_day


def test_a_course_s_own_instructor_is_enrolled_only_after_a_question(as_director, instructor):
    course = CourseFactory(taught_by=[instructor])
    url, data = reverse("lessons:enrol", args=[course.pk]), {"person": instructor.pk, "role": "F"}
    asked = as_director.post(url, data)
    assert "Tobin Marl teaches this course." in asked.content.decode()
    assert not course.enrolments.exists()
    as_director.post(url, data | {"seen": asked.context["form"]["seen"].value()})
    assert course.enrolments.get().person == instructor


def test_a_couple_of_an_adult_and_somebody_under_eighteen_comes_with_the_caution(as_director):
    course = CourseFactory()
    pip = PersonFactory(name="Pip Sandling", is_minor=True, roles=["student"])
    adult, other = (PersonFactory(name=name, roles=["student"]) for name in ("Ada Finch", "Tam Vane"))
    url, data = reverse("lessons:enrol", args=[course.pk]), {"person": pip.pk, "role": "F"}
    asked = as_director.post(url, data | {"with_partner": "Ada", "partner": adult.pk})
    assert "Pip is under 18, and Ada Finch is not" in asked.content.decode()
    assert "Sandling" not in asked.content.decode()
    assert not course.enrolments.exists()
    seen = asked.context["form"]["seen"].value()
    as_director.post(url, data | {"with_partner": "Ada", "partner": adult.pk, "seen": seen})
    assert course.enrolments.count() == 2
    data["person"] = adult.pk
    course.enrolments.all().delete()
    as_director.post(url, data | {"with_partner": "Tam", "partner": other.pk})
    assert course.enrolments.count() == 2


class TestEnrollingByName:
    @pytest.fixture
    def course(self):
        return CourseFactory()

    @pytest.fixture(autouse=True)
    def some(self, db):
        self.adas = [
            PersonFactory(name="Ada Brinklow", username=username)
            for username in ("ada.brinklow", "ada.brinklow2")
        ]
        self.wystan = PersonFactory(name="Wystan Crake", username="wystan")

    def enrol(self, client, course, **given):
        return client.post(reverse("lessons:enrol", args=[course.pk]), {"role": "L", **given}, follow=True)

    def test_a_part_of_the_name_is_enough_where_one_has_it(self, as_director, course):
        self.enrol(as_director, course, who="crake")
        assert course.enrolments.get().person == self.wystan

    def test_of_several_one_chooses_and_what_was_typed_stays(self, as_director, course):
        asked = self.enrol(as_director, course, who="brinklow", joined="2026-02-04")
        shown = asked.content.decode()
        assert "Several people have this in their name." in shown
        assert "Ada Brinklow (ada.brinklow2)" in shown
        assert 'value="2026-02-04"' in shown
        assert "Wystan Crake (wystan)" not in shown
        self.enrol(as_director, course, who="brinklow", person=self.adas[1].pk)
        assert course.enrolments.get().person == self.adas[1]

    @pytest.mark.parametrize(
        ("who", "said"), [("", "Write a name"), ("nobody here", "Nobody of this name is free to join")]
    )
    def test_nobody_found_is_said_at_the_field(self, as_director, course, who, said):
        assert said in self.enrol(as_director, course, who=who).content.decode()

    def test_whoever_is_in_it_is_not_found_again(self, as_director, course):
        self.enrol(as_director, course, who="crake")
        again = self.enrol(as_director, course, who="crake").content.decode()
        assert "Wystan Crake is in this course already, or waiting for a place." in again

    @pytest.mark.parametrize(
        ("typed", "opens_at"),
        [
            ({"who": "nobody here"}, "who"),
            ({"who": "crake", "joined": "soon"}, "joined"),
            ({"who": ""}, "who"),
        ],
    )
    def test_refused_the_page_opens_at_what_is_wrong(self, as_director, course, typed, opens_at):
        shown = self.enrol(as_director, course, **typed).content.decode()
        (focused,) = re.findall(r"<[^>]* autofocus[^>]*>", shown)
        assert f'name="{opens_at}"' in focused

    def test_what_is_read_first_stands_where_the_page_opens(self, as_director, course):
        course.newcomers_until = course.term.first_day
        course.save()
        asked = self.enrol(as_director, course, who="crake", joined=course.term.last_day.isoformat())
        (focused,) = re.findall(r"<[^>]* autofocus[^>]*>[^<]*", asked.content.decode())
        assert focused.endswith("Enrol all the same")

    def test_nothing_draws_the_eye_before_anything_is_sent(self, as_director, course):
        assert "autofocus" not in page(as_director, course).content.decode()

    def test_too_many_ask_for_more_of_the_name(self, as_director, course):
        for _ in range(13):
            PersonFactory(name="Ada Many")
        assert "Write more of it" in self.enrol(as_director, course, who="ada").content.decode()

    def test_a_couple_comes_in_together_in_the_two_roles(self, as_director, course):
        self.enrol(as_director, course, who="crake", with_partner="ada.brinklow2")
        assert {row.person.username: row.role for row in course.enrolments.all()} == {
            "wystan": "L",
            "ada.brinklow2": "F",
        }
        assert ">couple<" in page(as_director, course).content.decode()

    def test_a_couple_is_two(self, as_director, course):
        said = self.enrol(as_director, course, who="crake", with_partner="wystan").content.decode()
        assert "A couple is two." in said
        assert not course.enrolments.exists()

    def test_the_page_lists_nobody_to_choose_from_however_many_there_are(self, as_director, course):
        assert "Wystan" not in page(as_director, course).content.decode()


def test_a_day_of_another_year_says_its_year(as_director):
    course = CourseFactory(newcomers_until=dt.date(2031, 1, 1))
    EnrolmentFactory(course=course, joined=dt.date(1999, 1, 1))
    shown = page(as_director, course).content.decode()
    assert "newcomers until Wed 1 Jan 2031" in shown
    assert "from Fri 1 Jan 1999" in shown


class TestDeletingACourse:
    def delete(self, client, course):
        url = reverse("lessons:course-remove", args=[course.pk])
        assert "Delete this course" in client.get(url).content.decode()
        return client.post(url)

    def test_one_in_which_nothing_has_happened_goes_with_its_lessons_and_plans(self, as_director):
        made = planned(recorded=False)
        assert self.delete(as_director, made.course).url == reverse(
            "lessons:term", args=[made.course.term_id]
        )
        assert not Course.objects.exists()
        assert not LessonSession.objects.exists()

    def test_one_with_a_record_stays(self, as_director):
        made = planned()
        assert "has been recorded" in self.delete(as_director, made.course).content.decode()
        assert Course.objects.exists()

    def test_one_that_somebody_was_in_stays(self, as_director):
        enrolment = EnrolmentFactory(left=dt.date(2026, 1, 20))
        assert "Somebody is or was in" in self.delete(as_director, enrolment.course).content.decode()

    def test_one_that_another_goes_on_from_stays(self, as_director):
        course = CourseFactory()
        CourseFactory(name="Waltz 2", continues=course)
        assert "Waltz 2 goes on from this course." in self.delete(as_director, course).content.decode()


def test_an_instructor_reads_and_changes_nothing(client, school, instructor):
    enrolment = EnrolmentFactory()
    as_person(client, instructor)
    shown = page(client, enrolment.course).content.decode()
    assert "Enrol somebody" not in shown
    course = enrolment.course
    assert client.post(reverse("lessons:enrol", args=[course.pk]), {}).status_code == 403
    assert client.post(reverse("lessons:enrolment-end", args=[enrolment.pk])).status_code == 403
    assert client.get(reverse("lessons:course-edit", args=[course.pk])).status_code == 403
    assert client.get(reverse("lessons:course-new")).status_code == 403


def test_a_student_finds_no_such_page(client, school, student):
    enrolment = EnrolmentFactory(person=student)
    url = reverse("lessons:course", args=[enrolment.course_id])
    assert as_person(client, student).get(url).status_code == 404


def test_enrolling_is_no_page_to_read(as_director):
    course = CourseFactory()
    assert as_director.get(reverse("lessons:enrol", args=[course.pk])).status_code == 405


@pytest.mark.parametrize("size", [2, 9])
def test_the_page_costs_the_same_queries_for_any_number_of_lessons_and_people(
    as_director, size, django_assert_num_queries
):
    made = planned(lessons=size + 5, status=PlanStatus.PUBLISHED)
    for _ in range(size):
        EnrolmentFactory(course=made.course)
    with django_assert_num_queries(22):
        page(as_director, made.course)


def test_who_is_enrolled_must_be_said_and_is_not_called_optional(as_director):
    course = CourseFactory()
    page = as_director.get(reverse("lessons:course", args=[course.pk])).content.decode()
    assert ">Who</label>" in page
    refused = as_director.post(reverse("lessons:enrol", args=[course.pk]), {"who": " ", "role": "L"})
    assert "Write a name, or a part of it." in refused.content.decode()


def test_refused_the_form_comes_back_on_all_that_the_course_page_shows(as_director):
    """Helpers too, and their buttons lead to the course's page, not to the form's address."""
    lesson = planned(recorded=False).lessons[-1]
    EnrolmentFactory(course=lesson.course, role="F")
    HelperFactory(person__name="Nerys Gorwell", role="L")
    whole = page(as_director, lesson.course).content.decode()
    refused = as_director.post(reverse("lessons:enrol", args=[lesson.course_id]), {"who": " ", "role": "L"})

    def above_the_form(shown):
        main = shown.split("<main")[1].split('aria-labelledby="enrol"')[0]
        return re.sub(r'(csrfmiddlewaretoken" value=")[^"]*', r"\1", main)

    assert 'Call<span class="visually-hidden">: Nerys Gorwell</span>' in whole
    assert "Ask first whether they come" in whole
    assert above_the_form(refused.content.decode()) == above_the_form(whole)


def test_a_couple_on_the_list_says_with_whom(as_director):
    course = CourseFactory()
    one = EnrolmentFactory(course=course, person=PersonFactory(name="Ada Brinklow"))
    other = EnrolmentFactory(course=course, person=PersonFactory(name="Odo Wherrit"))
    Enrolment.objects.filter(pk=one.pk).update(couple_with=other)
    shown = page(as_director, course).content.decode()
    assert "with Odo Wherrit" in shown
    assert "with Ada Brinklow" not in shown
