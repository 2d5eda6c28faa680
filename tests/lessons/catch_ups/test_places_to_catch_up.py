"""Who may come to the other evening: the balance of the roles, alone and as a couple."""

import pytest
from django.urls import reverse

from lessons.models import Attendance, CatchUp
from tests.factories import (
    CatchUpFactory,
    EnrolmentFactory,
    PersonFactory,
)
from tests.lessons.catch_ups.pages import TODAY, ask, offers


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
