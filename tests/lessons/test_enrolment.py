"""Places per role, an allowed difference between the roles, and a waiting list per role."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError

from lessons.actions.courses import end_enrolment, enrol, enrol_couple
from lessons.models import Enrolment
from lessons.rules.places import Floor, has_place
from tests.factories import CourseFactory, PersonFactory

TODAY = dt.date(2026, 1, 6)


@pytest.fixture(autouse=True)
def first_lesson(settings):
    settings.TODAY = TODAY.isoformat()


@pytest.fixture
def course():
    return CourseFactory(places_leaders=2, places_followers=2, allowed_difference=2)


def join(course, role="L", **fields):
    return enrol(course=course, person=PersonFactory(roles=["student"]), role=role, **fields)


@pytest.mark.django_db
class TestEnrolling:
    def test_somebody_joins_today_unless_another_day_is_given(self, course):
        assert join(course).joined == TODAY
        assert join(course, joined=TODAY + dt.timedelta(days=7)).joined == dt.date(2026, 1, 13)

    def test_when_a_role_s_places_are_taken_the_next_waits(self, course):
        assert [join(course, "L").waiting for _ in range(3)] == [False, False, True]
        assert not join(course, "F").waiting

    def test_a_course_is_not_let_grow_lopsided(self, course):
        course.allowed_difference = 1
        course.save()
        assert [join(course, "F").waiting for _ in range(2)] == [False, True]
        assert not join(course, "L").waiting

    def test_nobody_is_in_a_course_twice(self, course):
        person = join(course).person
        with pytest.raises(ValidationError, match=r"is in Course \w+ already"):
            enrol(course=course, person=person, role="F")
        assert Enrolment.objects.count() == 1

    def test_whoever_left_may_come_back(self, course):
        enrolment = join(course)
        end_enrolment(enrolment=enrolment)
        assert enrol(course=course, person=enrolment.person, role="F").pk != enrolment.pk

    def test_newcomers_join_until_the_day_the_course_says(self, course):
        course.newcomers_until = TODAY
        course.save()
        assert join(course).pk
        with pytest.raises(ValidationError, match="until Tuesday 6 January") as refused:
            join(course, joined=TODAY + dt.timedelta(days=1))
        assert "joined" in refused.value.message_dict

    def test_a_role_nobody_knows_is_refused(self, course):
        with pytest.raises(ValidationError, match="Choose leader or follower"):
            join(course, "X")


@pytest.mark.django_db
class TestLeaving:
    def test_whoever_waited_longest_takes_the_place(self, course):
        first, _ = join(course), join(course)
        join(course, joined=TODAY + dt.timedelta(days=2))
        longest = join(course, joined=TODAY + dt.timedelta(days=1))
        assert end_enrolment(enrolment=first) == [longest]
        longest.refresh_from_db()
        assert not longest.waiting

    def test_a_place_for_a_leader_is_none_for_a_follower(self, course):
        leader = join(course, "L")
        followers = [join(course, "F") for _ in range(3)]
        assert followers[2].waiting
        assert end_enrolment(enrolment=leader) == []

    def test_nobody_leaves_before_they_joined_or_twice(self, course):
        enrolment = join(course)
        with pytest.raises(ValidationError, match="joined on Tuesday 6 January"):
            end_enrolment(enrolment=enrolment, left=TODAY - dt.timedelta(days=1))
        end_enrolment(enrolment=enrolment)
        with pytest.raises(ValidationError, match="has left already"):
            end_enrolment(enrolment=enrolment)


class TestPlaces:
    @pytest.mark.parametrize(
        ("leaders", "followers", "leaders_both", "followers_both", "difference"),
        [
            (3, 3, 0, 0, 0),
            (5, 2, 0, 0, 3),
            (5, 2, 1, 0, 1),
            (5, 2, 3, 0, 1),
            (6, 2, 5, 0, 0),
            (2, 5, 2, 0, 3),
            (2, 5, 0, 1, 1),
        ],
    )
    def test_who_dances_both_evens_the_roles_out(
        self, leaders, followers, leaders_both, followers_both, difference
    ):
        """One who changes over shrinks the difference by two: it keeps being odd or even."""
        assert Floor(leaders, followers, leaders_both, followers_both).least_difference == difference

    def test_one_who_narrows_the_difference_is_always_welcome(self):
        lopsided = Floor(leaders=1, followers=6)
        assert has_place(lopsided, "L", dances_both=False, places=8, allowed_difference=2)
        assert not has_place(lopsided, "F", dances_both=False, places=8, allowed_difference=2)

    def test_one_who_dances_both_finds_a_place_where_a_follower_only_does_not(self):
        floor = Floor(leaders=2, followers=4)
        assert not has_place(floor, "F", dances_both=False, places=8, allowed_difference=2)
        assert has_place(floor, "F", dances_both=True, places=8, allowed_difference=2)

    def test_without_a_place_in_the_role_nobody_comes_in(self):
        assert not has_place(Floor(8, 8), "L", dances_both=True, places=8, allowed_difference=9)


@pytest.mark.django_db
class TestCouples:
    def couple(self, course):
        one, other = PersonFactory(roles=["student"]), PersonFactory(roles=["student"])
        return enrol_couple(course=course, person=one, partner=other, role="L")

    def test_two_who_come_together_get_both_places_however_lopsided_the_course(self, course):
        course.allowed_difference = 0
        course.save()
        one, other = self.couple(course)
        assert [one.waiting, other.waiting] == [False, False]
        assert [one.couple_with, other.couple_with] == [other, one]

    def test_with_a_place_for_one_of_them_both_wait(self, course):
        join(course, "F"), join(course, "F")
        one, other = self.couple(course)
        assert [one.waiting, other.waiting] == [True, True]

    def test_they_come_off_the_list_when_there_is_a_place_for_both(self, course):
        course.places_leaders = 3
        course.save()
        _, first = join(course, "F"), join(course, "F")
        couple = self.couple(course)
        assert {row.pk for row in end_enrolment(enrolment=first)} == {row.pk for row in couple}

    def test_when_one_leaves_the_other_goes_on_alone(self, course):
        one, other = self.couple(course)
        end_enrolment(enrolment=one)
        other.refresh_from_db()
        assert (other.couple_with, other.left) == (None, None)

    def test_a_partner_who_is_in_already_leaves_nobody_half_enrolled(self, course):
        inside = join(course, "F").person
        with pytest.raises(ValidationError, match="already"):
            enrol_couple(course=course, person=PersonFactory(), partner=inside, role="L")
        assert Enrolment.objects.count() == 1
