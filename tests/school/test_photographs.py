"""Consent to photographs: a yes or a no per person, dated, taken back at any time.

That it is asked per person and again before a showcase, and of a guardian for somebody under 18, is common
practice, no source.
"""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from school.models import PhotoWord
from school.photographs import photographs_of, say
from school.rules.photographs import Stand, Word, stand
from tests.factories import PersonFactory

TERM_BEGINS, BEFORE = dt.date(2026, 1, 5), dt.date(2025, 12, 30)


@pytest.fixture
def pip(db):
    return PersonFactory(name="Pip Sandling", is_minor=True, guardian_name="Una Sandling", roles=["student"])


class TestWhatAWordComesTo:
    days = st.dates(dt.date(2025, 1, 1), dt.date(2027, 1, 1))
    words = st.builds(Word, st.booleans(), days, st.booleans())

    @given(words, st.booleans(), st.none() | days)
    def test_nobody_is_photographed_without_a_yes_that_stands(self, word, is_minor, since):
        if stand(word, is_minor=is_minor, since=since) is Stand.YES:
            assert word.agrees
            assert word.by_guardian == is_minor
            assert since is None or word.said_on >= since

    @given(words, st.booleans(), st.none() | days)
    def test_a_no_stands_whoever_said_it_and_when(self, word, is_minor, since):
        assert (stand(word, is_minor=is_minor, since=since) is Stand.NO) == (not word.agrees)

    def test_silence_is_no_yes(self):
        assert stand(None, is_minor=False) is Stand.ASK

    def test_a_yes_of_an_earlier_term_is_asked_for_again(self):
        yes = Word(agrees=True, said_on=BEFORE, by_guardian=False)
        assert stand(yes, is_minor=False) is Stand.YES
        assert stand(yes, is_minor=False, since=TERM_BEGINS) is Stand.ASK

    def test_the_guardians_yes_ends_at_eighteen(self):
        yes = Word(agrees=True, said_on=TERM_BEGINS, by_guardian=True)
        assert stand(yes, is_minor=True) is Stand.YES
        assert stand(yes, is_minor=False) is Stand.ASK


class TestTheDirector:
    def note(self, client, person, answer):
        return client.post(reverse("school:photographs", args=[person.pk]), {"answer": answer}, follow=True)

    def test_notes_what_somebody_says_and_the_page_says_so(self, as_director, director, student, settings):
        settings.TODAY = "2026-01-14"
        page = reverse("school:person", args=[student.pk])
        assert "not asked" in as_director.get(page).content.decode()
        text = self.note(as_director, student, "yes").content.decode()
        assert "may be taken" in text
        assert "on 14 January 2026, noted by Hester Quayle" in text
        assert "none, please" in self.note(as_director, student, "no").content.decode()
        assert [row.agrees for row in PhotoWord.objects.order_by("pk")] == [True, False]

    def test_of_somebody_under_eighteen_it_is_the_guardians(self, as_director, pip):
        asked = as_director.get(reverse("school:photographs", args=[pip.pk])).content.decode()
        assert "a yes is the guardian’s, Una Sandling" in asked
        self.note(as_director, pip, "yes")
        assert PhotoWord.objects.get().by_guardian
        assert photographs_of([pip])[pip.pk].stand is Stand.YES

    def test_an_answer_that_is_none_changes_nothing(self, as_director, student):
        assert "Say yes or no." in self.note(as_director, student, "perhaps").content.decode()
        assert not PhotoWord.objects.exists()


class TestOneself:
    def answer(self, client, answer):
        sent = {"answer": answer, "next": reverse("lessons:kept-about-me")}
        return client.post(reverse("school:my-photographs"), sent, follow=True).content.decode()

    def test_reads_it_among_what_is_kept_and_takes_it_back(self, client, school, student):
        client.force_login(student)
        assert "They may be taken" in client.get(reverse("lessons:kept-about-me")).content.decode()
        assert "No longer, please" in self.answer(client, "yes")
        assert "none, please" in self.answer(client, "no")
        assert photographs_of([student])[student.pk].stand is Stand.NO
        file = client.get(reverse("lessons:kept-about-me-file")).json()
        assert [row["agrees"] for row in file["photographs and video"]] == [True, False]

    def test_says_no_but_not_yes_under_eighteen(self, client, school, pip):
        client.force_login(pip)
        page = client.get(reverse("lessons:kept-about-me")).content.decode()
        assert "They may be taken" not in page
        assert "A yes is your guardian’s to give" in self.answer(client, "yes")
        assert not PhotoWord.objects.exists()
        self.answer(client, "no")
        assert photographs_of([pip])[pip.pk].stand is Stand.NO

    def test_under_eighteen_a_yes_of_ones_own_is_refused_to_any_writer(self, pip):
        with pytest.raises(ValidationError):
            say(person=pip, agrees=True, by=pip)


def test_any_number_of_people_costs_one_query(db, django_assert_num_queries, director):
    people = PersonFactory.create_batch(5)
    for person in people:
        say(person=person, agrees=True, by=director)
    with django_assert_num_queries(1):
        assert len(photographs_of(people)) == 5
    with django_assert_num_queries(0):
        assert photographs_of([]) == {}
