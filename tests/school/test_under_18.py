"""Somebody under 18: a first name on every list, and a guardian's address instead of their own.

The rules are common practice, no source.
"""

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from school.models import Person
from school.rules.guardians import looks_like_their_own
from tests.factories import PersonFactory
from tests.two_writers import change

GUARDIAN = {"is_minor": "on", "guardian_name": "Bram Sallow"}


@pytest.fixture
def pip(db):
    return PersonFactory(
        name="Pip Sandling", username="pip", is_minor=True, guardian_name="Una Sandling", roles=["student"]
    )


def test_is_called_by_the_first_name_alone(pip, student):
    assert (str(pip), pip.shown_name, pip.name) == ("Pip", "Pip", "Pip Sandling")
    assert str(student) == "Lark Penfold"


def test_lists_show_the_first_name_and_the_mark(as_director, pip):
    text = as_director.get(reverse("school:people")).content.decode()
    assert "under 18" in text
    assert "Sandling" not in text


def test_the_whole_name_and_the_guardian_are_read_by_the_director_on_their_page(as_director, pip):
    text = as_director.get(reverse("school:person", args=[pip.pk])).content.decode()
    assert "Pip Sandling" in text
    assert "Una Sandling" in text


def test_an_instructor_reads_neither(client, school, instructor, pip):
    client.force_login(instructor)
    text = client.get(reverse("school:person", args=[pip.pk])).content.decode()
    assert "Pip" in text
    assert "under 18" in text
    assert "Sandling" not in text


def test_the_name_to_sign_in_with_gives_no_surname_away(as_director):
    as_director.post(reverse("school:person-new"), {"name": "Pip Sandling", "roles": ["student"], **GUARDIAN})
    assert Person.objects.get(name="Pip Sandling").username == "pip"


class TestAddress:
    @pytest.mark.parametrize(
        ("address", "is_own"),
        [
            ("pip@example.org", True),
            ("Pip.Sandling@example.org", True),
            ("pip2010@example.org", True),
            ("dancing-pip@example.org", True),
            ("una.sandling@example.org", False),
            ("sandlings@example.org", False),
            # the guardian's name stands in it as well
            ("pip-and-una@example.org", False),
            ("una@pip.example.org", False),
            ("", False),
        ],
    )
    def test_looks_like_their_own_where_it_carries_their_name_and_not_the_guardians(self, address, is_own):
        assert looks_like_their_own(address, name="Pip Sandling", guardian="Una Sandling") == is_own

    def test_accents_hide_nothing(self):
        assert looks_like_their_own("zoe@example.org", name="Zoë Vane", guardian="Bram Vane")

    @given(st.emails(), st.text(max_size=30), st.text(max_size=30))
    def test_any_words_at_all_can_be_asked_about(self, address, name, guardian):
        assert looks_like_their_own(address, name=name, guardian=guardian) in {True, False}

    def test_one_that_looks_like_their_own_is_asked_about_and_what_was_typed_stays(self, as_director):
        typed = {"name": "Pip Sandling", "email": "pip@example.org", "roles": ["student"], **GUARDIAN}
        asked = as_director.post(reverse("school:invite-new"), typed)
        assert "write the address of Bram Sallow" in asked.content.decode()
        assert 'value="pip@example.org"' in asked.content.decode()
        assert not Person.objects.filter(is_minor=True).exists()
        as_director.post(reverse("school:invite-new"), typed | {"seen": asked.context["form"].data["seen"]})
        assert Person.objects.get(is_minor=True).email == "pip@example.org"

    def test_one_kept_as_their_own_is_no_guardians(self, as_director):
        pip = PersonFactory(name="Pip Arden", username="pip", email="dancer@example.org", roles=["student"])
        address = reverse("school:person-edit", args=[pip.pk])
        assert "kept as their own address" in change(as_director, address, **GUARDIAN).content.decode()
        pip.refresh_from_db()
        assert not pip.is_minor
        change(as_director, address, email="bram@example.org", **GUARDIAN)
        pip.refresh_from_db()
        assert (pip.is_minor, pip.email) == (True, "bram@example.org")

    def test_at_eighteen_the_guardian_goes_and_so_does_their_address(self, as_director, pip):
        pip.email = "una@example.org"
        pip.save()
        address = reverse("school:person-edit", args=[pip.pk])
        refused = change(as_director, address, is_minor=None)
        assert "still the guardian" in refused.content.decode()
        change(as_director, address, is_minor=None, email="pip@example.org")
        pip.refresh_from_db()
        assert (pip.is_minor, pip.guardian_name, pip.email) == (False, "", "pip@example.org")


class TestGuardian:
    def add(self, client, **given):
        return client.post(
            reverse("school:person-new"), {"name": "Pip Sandling", "roles": ["student"], **given}
        )

    def test_is_somebody_else(self, as_director):
        refused = self.add(as_director, is_minor="on", guardian_name="pip  sandling")
        assert b"Nobody is their own guardian" in refused.content

    def test_is_kept_of_nobody_of_age(self, as_director):
        refused = self.add(as_director, guardian_name="Una Sandling")
        assert b"of somebody under 18 only" in refused.content
        assert not Person.objects.filter(name="Pip Sandling").exists()
