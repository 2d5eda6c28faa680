"""Two people at one form of the school: neither puts back what the other wrote, and both see both."""

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse

from school.models import Room, School
from tests.factories import PersonFactory, RoomFactory
from tests.two_writers import change, opened


@pytest.fixture
def loft(school):
    return RoomFactory(
        name="Loft", people=18, note="Mind the step.", music_off=dt.time(22), length_metres=Decimal("12.5")
    )


def in_two_windows(client, address, first, second):
    """Both open the form; the first saves, then the second. What the second is answered."""
    mine = opened(client, address)
    assert change(client, address, **first).status_code == 302
    return client.post(address, mine | second)


def save_again(client, address, answer):
    """The second sends the form as it then stands."""
    form = answer.context["form"]
    sent = {field.html_name: field.value() for field in form if field.value() not in (None, False)}
    return client.post(address, sent)


def test_a_field_only_the_first_changed_is_kept_when_the_second_saves(as_director, loft):
    address = reverse("school:room", args=[loft.pk])
    answer = in_two_windows(as_director, address, {"people": "24"}, {"note": "Mind the cat."})
    assert answer.status_code == 409
    assert [(one.label, one.stands, one.typed, one.taken) for one in answer.context["differ"]] == [
        ("People allowed", "24", "18", True),
        ("Note", "Mind the step.", "Mind the cat.", False),
    ]
    loft.refresh_from_db()
    assert (loft.people, loft.note) == (24, "Mind the step.")
    assert save_again(as_director, address, answer).status_code == 302
    loft.refresh_from_db()
    assert (loft.people, loft.note) == (24, "Mind the cat.")


def test_a_field_both_changed_is_shown_twice_and_stays_as_it_was_typed(as_director, loft):
    address = reverse("school:room", args=[loft.pk])
    answer = in_two_windows(as_director, address, {"note": "Mind the dog."}, {"note": "Mind the cat."})
    said = answer.content.decode()
    assert "Somebody else saved this room while you had it open." in said
    assert "Mind the dog." in said
    assert answer.context["form"]["note"].value() == "Mind the cat."
    save_again(as_director, address, answer)
    loft.refresh_from_db()
    assert loft.note == "Mind the cat."


def test_a_tick_that_was_taken_away_stays_away(as_director, loft):
    address = reverse("school:room", args=[loft.pk])
    answer = in_two_windows(as_director, address, {"travelling_dances": None}, {"note": "Mind the cat."})
    save_again(as_director, address, answer)
    loft.refresh_from_db()
    assert (loft.travelling_dances, loft.note) == (False, "Mind the cat.")


def test_a_third_is_told_again(as_director, loft):
    address = reverse("school:room", args=[loft.pk])
    answer = in_two_windows(as_director, address, {"people": "24"}, {"note": "Mind the cat."})
    change(as_director, address, people="30")
    assert save_again(as_director, address, answer).status_code == 409
    assert Room.objects.get(pk=loft.pk).people == 30


def test_the_school_itself(as_director):
    answer = in_two_windows(as_director, "/school/", {"town": "Kelp Bay"}, {"minutes_with_a_partner": "5"})
    assert answer.status_code == 409
    save_again(as_director, "/school/", answer)
    assert (School.current().town, School.current().minutes_with_a_partner) == ("Kelp Bay", 5)


def test_a_person(as_director):
    ada = PersonFactory(name="Ada Brinklow", username="ada", roles=["student"])
    address = reverse("school:person-edit", args=[ada.pk])
    answer = in_two_windows(as_director, address, {"email": "ada@example.org"}, {"name": "Ada Merrow"})
    assert answer.status_code == 409
    assert "<h1>Name and contact</h1>" in answer.content.decode()
    save_again(as_director, address, answer)
    ada.refresh_from_db()
    assert (ada.name, ada.email) == ("Ada Merrow", "ada@example.org")


def test_sent_again_as_it_was_saved_is_no_second_writer(as_director, loft):
    address = reverse("school:room", args=[loft.pk])
    for _ in range(2):
        assert change(as_director, address, people="24", music_off="21:45").status_code == 302
