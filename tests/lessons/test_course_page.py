"""A course's page: what it is, who is in it, its lessons and plans; making and changing a course."""

import datetime as dt

import pytest
from django.urls import reverse

from curriculum.models import Level
from lessons.models import Course, Enrolment, LessonSession, PlanStatus
from school.models import Term
from tests.factories import (
    CourseFactory,
    DanceFactory,
    EnrolmentFactory,
    LevelFactory,
    PersonFactory,
    RoomFactory,
    RoutineFactory,
    TermFactory,
    weekly_lessons,
)
from tests.lessons.planned import TODAY, as_person, planned


@pytest.fixture(autouse=True)
def story_day(settings):
    settings.TODAY = TODAY


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
    as_director.post(reverse("lessons:enrolment-end", args=[inside.pk]))
    waits.refresh_from_db()
    assert not waits.waiting


def test_an_unknown_role_is_refused_at_the_field(as_director):
    course = CourseFactory()
    person = PersonFactory(roles=["student"])
    answer = as_director.post(reverse("lessons:enrol", args=[course.pk]), {"person": person.pk, "role": "X"})
    assert "role" in answer.context["form"].errors
    assert not course.enrolments.exists()


def test_a_newcomer_too_late_is_refused_at_the_field(as_director):
    course = CourseFactory(newcomers_until=dt.date(2026, 1, 20))
    person = PersonFactory(roles=["student"])
    answer = as_director.post(reverse("lessons:enrol", args=[course.pk]), {"person": person.pk, "role": "F"})
    assert "Newcomers may join" in answer.context["form"].errors["joined"][0]


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
    with django_assert_num_queries(15):
        page(as_director, made.course)


class TestMakingACourse:
    @pytest.fixture
    def term(self):
        return TermFactory()

    @pytest.fixture
    def level(self):
        return LevelFactory(dance=DanceFactory(name="waltz"))

    def data(self, term, level, *meetings, **more):
        data = {
            "term": term.pk,
            "name": "Waltz for beginners",
            "key": "WB",
            "levels": [level.pk],
            "kind": "group",
            "interval_weeks": 1,
            "places_leaders": 8,
            "places_followers": 8,
            "allowed_difference": 2,
            "meetings-TOTAL_FORMS": max(len(meetings), 2),
            "meetings-INITIAL_FORMS": 0,
            **{f"meetings-{number}-minutes": 60 for number in range(max(len(meetings), 2))},
        }
        for number, meeting in enumerate(meetings):
            data |= {f"meetings-{number}-{field}": value for field, value in meeting.items()}
        return data | more

    def meeting(self, weekday=1, **more):
        return {"weekday": weekday, "start": "19:30", "minutes": 60, "room": RoomFactory().pk} | more

    def test_it_lays_out_its_lessons_on_its_weekdays(self, as_director, instructor, term, level):
        data = self.data(term, level, self.meeting(1), self.meeting(3), instructors=[instructor.pk])
        answer = as_director.post(reverse("lessons:course-new"), data)
        course = Course.objects.get(key="WB")
        assert answer.url == reverse("lessons:course", args=[course.pk])
        assert course.dance.name == "waltz"
        assert {row.date.weekday() for row in course.lessons.all()} == {1, 3}
        assert course.lessons.count() == 24
        assert [row.person for row in course.courseinstructor_set.all()] == [instructor]

    def test_without_a_meeting_it_is_refused_and_nothing_typed_is_lost(self, as_director, term, level):
        answer = as_director.post(reverse("lessons:course-new"), self.data(term, level))
        shown = answer.content.decode()
        assert "Say at least one day on which the course meets." in shown
        assert 'value="Waltz for beginners"' in shown
        assert not Course.objects.exists()

    def test_levels_of_two_dances_are_refused_at_the_field(self, as_director, term, level):
        data = self.data(term, level, self.meeting(), levels=[level.pk, LevelFactory().pk])
        answer = as_director.post(reverse("lessons:course-new"), data)
        assert "A course teaches one dance." in answer.context["form"].errors["levels"][0]

    def test_a_routine_of_another_dance_is_refused_at_the_field(self, as_director, term, level):
        data = self.data(term, level, self.meeting(), routine=RoutineFactory().pk)
        answer = as_director.post(reverse("lessons:course-new"), data)
        assert "the course teaches waltz" in answer.context["form"].errors["routine"][0]

    def test_the_short_name_is_once_a_term(self, as_director, term, level):
        CourseFactory(term=term, key="WB")
        answer = as_director.post(reverse("lessons:course-new"), self.data(term, level, self.meeting()))
        assert answer.status_code == 200
        assert Course.objects.count() == 1

    def test_changing_it_keeps_the_lessons_that_stand(self, as_director):
        course = CourseFactory()
        lessons = weekly_lessons(course, 3)
        level = course.levels.get()
        data = self.data(course.term, level, self.meeting(weekday=4), name="Friday waltz", key=course.key)
        as_director.post(reverse("lessons:course-edit", args=[course.pk]), data)
        course.refresh_from_db()
        assert course.name == "Friday waltz"
        assert {lesson.pk for lesson in lessons} <= {row.pk for row in course.lessons.all()}
        assert Level.objects.get(courses=course) == level

    def test_the_form_proposes_the_term_it_was_opened_from(self, as_director, term):
        other = Term.objects.create(name="Later", first_day=dt.date(2026, 5, 1), last_day=dt.date(2026, 6, 1))
        shown = as_director.get(reverse("lessons:course-new"), {"term": other.pk})
        assert shown.context["form"].initial["term"] == other
