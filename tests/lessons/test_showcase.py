"""A showcase: photographs are asked for again, and the evening's page says of whom none are taken.

That a yes is asked for anew in the showcase's own term is common practice, no source.
"""

import datetime as dt

import pytest
from django.urls import reverse

from lessons.models import LessonSession
from lessons.people.showcase import showcases_that_ask
from school.models import PhotoWord
from tests.factories import EnrolmentFactory, PersonFactory, weekly_lessons

BEFORE, SINCE = dt.date(2025, 12, 30), dt.date(2026, 1, 12)


@pytest.fixture(autouse=True)
def second_week(settings, school):
    settings.TODAY = "2026-01-13"


@pytest.fixture
def showcase(course):
    lesson = weekly_lessons(course, 4)[3]
    LessonSession.objects.filter(pk=lesson.pk).update(kind="showcase")
    return LessonSession.objects.get(pk=lesson.pk)


def dancer(course, name, agrees=None, said_on=SINCE, **whose):
    person = PersonFactory(name=name, roles=["student"], **whose)
    EnrolmentFactory(course=course, person=person)
    if agrees is not None:
        PhotoWord.objects.create(person=person, agrees=agrees, said_on=said_on, by_guardian=person.is_minor)
    return person


def test_its_page_says_of_whom_none_are_taken_and_who_has_to_be_asked(
    as_instructor, course, showcase, instructor
):
    dancer(course, "Ada Finch", agrees=True)
    dancer(course, "Bea Mull", agrees=True, said_on=BEFORE)
    dancer(course, "Una Rook", agrees=False, said_on=BEFORE)
    dancer(course, "Pip Sandling", agrees=True, is_minor=True)
    text = as_instructor.get(reverse("lessons:lesson", args=[showcase.pk])).content.decode()
    assert "<b>None of</b> Una" in text
    assert "<b>Not asked this term</b> Bea, Tobin." in text
    assert "2 said yes this term." in text
    assert "Sandling" not in text


def test_any_other_evening_says_nothing_of_it(as_instructor, course, showcase):
    dancer(course, "Una Rook", agrees=False)
    other = course.lessons.exclude(pk=showcase.pk).first()
    text = as_instructor.get(reverse("lessons:lesson", args=[other.pk])).content.decode()
    assert "photographs-there" not in text


class TestAsking:
    def home(self, client, person):
        client.force_login(person)
        return client.get(reverse("lessons:home")).content.decode()

    def test_whoever_has_not_said_so_this_term_is_asked_and_answers_there(self, client, course, showcase):
        bea = dancer(course, "Bea Mull", agrees=True, said_on=BEFORE)
        assert "May photographs and video be taken of you?" in self.home(client, bea)
        answer = {"answer": "yes", "next": reverse("lessons:home")}
        client.post(reverse("school:my-photographs"), answer)
        assert "May photographs" not in self.home(client, bea)
        assert PhotoWord.objects.latest("pk").said_on == dt.date(2026, 1, 13)

    @pytest.mark.parametrize("agrees", [True, False])
    def test_whoever_has_is_not(self, client, course, showcase, agrees):
        assert "May photographs" not in self.home(client, dancer(course, "Ada Finch", agrees=agrees))

    def test_under_eighteen_the_guardian_is_named_and_only_a_no_is_offered(self, client, course, showcase):
        text = self.home(client, dancer(course, "Pip Sandling", is_minor=True))
        assert "a yes is given by your guardian" in text
        assert "Yes, they may" not in text
        assert "No, please" in text

    def test_nobody_is_asked_where_none_is_to_come(self, client, course, showcase):
        LessonSession.objects.filter(pk=showcase.pk).update(
            cancelled_at=dt.datetime(2026, 1, 6, tzinfo=dt.UTC)
        )
        assert "May photographs" not in self.home(client, dancer(course, "Ada Finch"))


class TestTheDirector:
    """Reads three weeks ahead whom to ask, for not everybody signs in."""

    def needs(self, client, director):
        client.force_login(director)
        return client.get(reverse("lessons:home")).content.decode()

    def test_is_told_how_many_have_not_said_so(self, client, director, course, showcase):
        dancer(course, "Bea Mull", agrees=True, said_on=BEFORE)
        dancer(course, "Cal Wren")
        dancer(course, "Una Rook", agrees=False)
        text = self.needs(client, director)
        assert "has a showcase on Tuesday 27 January: 2 dancers have not said this term" in text
        assert f"{reverse('lessons:lesson', args=[showcase.pk])}#photographs-there" in text

    def test_is_told_nothing_where_all_have(self, client, director, course, showcase):
        dancer(course, "Ada Finch", agrees=True)
        assert "photographed" not in self.needs(client, director)

    def test_is_told_nothing_of_one_that_lies_far_ahead(self, client, director, settings, course, showcase):
        dancer(course, "Cal Wren")
        settings.TODAY = "2026-01-05"
        assert "photographed" not in self.needs(client, director)

    @pytest.mark.parametrize("size", [1, 6])
    def test_it_costs_the_same_however_many(self, course, showcase, size, django_assert_num_queries):
        for number in range(size):
            dancer(course, f"Cal Wren{number}", agrees=True, said_on=BEFORE)
        with django_assert_num_queries(3):
            assert len(list(showcases_that_ask())) == 1
