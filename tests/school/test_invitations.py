"""Somebody is invited, by mail or on paper, and chooses how they sign in."""

import datetime as dt
import re
import threading

import pytest
from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import connections
from django.test import Client
from django.urls import reverse

from school import invitations
from school.models import Invitation, Person
from tests.factories import PersonFactory

INVITE = "/people/invite/"
CHOSEN = {"username": "edda", "new_password": "a quick slow quick", "again": "a quick slow quick"}


@pytest.fixture
def edda(school):
    """On the books, without a password."""
    return PersonFactory(name="Edda Hartigan", username="edda.hartigan", roles=["student"], sign_in_with=None)


@pytest.fixture
def invited(edda, director):
    """(Edda's open invitation, its secret)"""
    return invitations.invite(person=edda, by=director)


def link_in(text):
    return re.search(r"http://testserver(/join/[\w-]+/)", text)[1]


def test_a_director_invites_and_sees_the_link_once(as_director):
    sent = as_director.post(INVITE, {"name": "Edda Hartigan", "roles": ["student"]}, follow=True)
    slip = sent.content.decode()
    edda = Person.objects.get(name="Edda Hartigan")
    assert link_in(slip)
    assert "<svg" in slip
    assert edda.roles == {"student"}
    assert not edda.has_usable_password()
    again = as_director.get(reverse("school:invitation", args=[edda.pk]), follow=True)
    assert "/join/" not in again.content.decode()
    assert "not taken up yet" in again.content.decode()


def test_who_has_an_address_gets_it_by_mail_with_the_same_link(as_director, mailoutbox):
    given = {"name": "Edda Hartigan", "email": "edda@example.org", "roles": ["student"]}
    slip = as_director.post(INVITE, given, follow=True).content.decode()
    (mail,) = mailoutbox
    assert mail.to == ["edda@example.org"]
    assert link_in(mail.body) == link_in(slip)


@pytest.mark.parametrize(
    ("setting", "said"),
    [
        ({"SENDS_MAIL": False}, "Print the invitation, or copy the link."),
        ({"PRINTS_MAIL": True}, "The mail is printed where the server was started."),
    ],
    ids=["no mail server", "the demo"],
)
def test_of_a_mail_that_goes_to_nobody_the_truth_is_said(as_director, settings, setting, said):
    for name, value in setting.items():
        setattr(settings, name, value)
    given = {"name": "Edda Hartigan", "email": "edda@example.org", "roles": ["student"]}
    assert "nothing is mailed from here" in as_director.get(INVITE).content.decode()
    slip = as_director.post(INVITE, given, follow=True).content.decode()
    assert f"Nothing was sent to edda@example.org: this school has no mail server. {said}" in slip
    assert "mailed to" not in slip
    assert link_in(slip)


def test_a_childs_invitation_is_written_to_the_guardian(as_director, mailoutbox):
    given = {
        "name": "Pip Arden",
        "email": "rowan@example.org",
        "is_minor": "on",
        "guardian_name": "Rowan Arden",
    }
    as_director.post(INVITE, given | {"roles": ["student"]})
    assert mailoutbox[0].body.startswith("Hello Rowan Arden")


def test_a_mail_server_that_does_not_answer_leaves_the_link_on_paper(as_director, settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "localhost", 1
    given = {"name": "Edda Hartigan", "email": "edda@example.org", "roles": ["student"]}
    slip = as_director.post(INVITE, given, follow=True).content.decode()
    assert "could not be sent" in slip
    assert link_in(slip)


def test_an_address_that_is_there_is_read_first_and_nothing_is_lost(as_director):
    PersonFactory(name="Ada Brinklow", email="ada@example.org", roles=["instructor"])
    given = {"name": "A. Brinklow", "email": "Ada@example.org", "roles": ["student"]}
    asked = as_director.post(INVITE, given)
    assert "Ada Brinklow is reached at Ada@example.org already" in asked.content.decode()
    assert 'value="A. Brinklow"' in asked.content.decode()
    assert not Person.objects.filter(name="A. Brinklow").exists()
    as_director.post(INVITE, given | {"seen": asked.context["form"]["seen"].value()})
    assert Person.objects.filter(name="A. Brinklow").exists()


def test_taking_it_up_signs_in_and_works_once(client, invited):
    _, secret = invited
    join = reverse("school:join", args=[secret])
    assert "Welcome, Edda" in client.get(join).content.decode()
    taken = client.post(join, CHOSEN)
    assert (taken.status_code, taken.url) == (302, "/")
    assert "_auth_user_id" in client.session
    edda = Person.objects.get(username="edda")
    assert edda.check_password(CHOSEN["new_password"])
    again = Client().post(join, CHOSEN | {"username": "somebody.else"})
    assert again.status_code == 409
    assert invitations.USED in again.content.decode()
    edda.refresh_from_db()
    assert edda.username == "edda"


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"username": "HEAD"}, "Somebody already signs in with this name."),
        ({"username": "two words"}, "Only letters, digits"),
        ({"new_password": "password12", "again": "password12"}, "too common"),
        ({"new_password": "edda.hartigan", "again": "edda.hartigan"}, "too similar"),
        ({"new_password": "short", "again": "short"}, "too short"),
        ({"again": "a quick slow slow"}, "The two are not the same."),
    ],
)
def test_what_cannot_be_chosen_is_said_at_the_field_and_the_invitation_stays_open(
    client, invited, wrong, said
):
    invitation, secret = invited
    answer = client.post(reverse("school:join", args=[secret]), CHOSEN | wrong)
    assert answer.status_code == 200
    assert said in answer.content.decode()
    invitation.refresh_from_db()
    assert invitation.is_open
    assert "_auth_user_id" not in client.session


def withdrawn(invitation):
    invitations.withdraw(person=invitation.person, by=invitation.made_by)


def replaced(invitation):
    invitations.invite(person=invitation.person, by=invitation.made_by)


def over(invitation):
    Invitation.objects.update(ends_at=invitation.made_at - dt.timedelta(seconds=1))


def gone(invitation):
    Person.objects.filter(pk=invitation.person_id).update(is_active=False)


@pytest.mark.parametrize(
    ("happens", "said"),
    [
        (withdrawn, invitations.WITHDRAWN),
        (replaced, invitations.WITHDRAWN),
        (over, invitations.OVER),
        (gone, invitations.GONE),
    ],
)
def test_one_that_no_longer_holds_says_why_and_opens_nothing(client, invited, happens, said):
    invitation, secret = invited
    happens(invitation)
    join = reverse("school:join", args=[secret])
    for answer in (client.get(join), client.post(join, CHOSEN)):
        assert answer.status_code == 409
        assert said in answer.content.decode().replace("&#x27;", "'")
    assert not Person.objects.get(pk=invitation.person_id).check_password(CHOSEN["new_password"])


def test_a_password_handed_over_closes_the_invitation(as_director, invited):
    invitation, _ = invited
    as_director.post(reverse("school:person-one-time-password", args=[invitation.person_id]))
    invitation.refresh_from_db()
    assert not invitation.is_open


def test_who_has_left_is_not_invited(as_director, edda):
    Person.objects.filter(pk=edda.pk).update(is_active=False)
    answer = as_director.post(reverse("school:invite", args=[edda.pk]), follow=True)
    assert "has left the school" in answer.content.decode()
    assert not edda.invitations.exists()


def test_the_secret_is_kept_nowhere(invited):
    invitation, secret = invited
    assert secret not in str(Invitation.objects.values().get(pk=invitation.pk))
    assert len(secret) >= 43


def test_whoever_was_invited_by_mistake_can_be_deleted(as_director, invited):
    invitation, _ = invited
    as_director.post(reverse("school:person-remove", args=[invitation.person_id]))
    assert not Person.objects.filter(pk=invitation.person_id).exists()


def test_the_link_is_no_business_of_a_page_that_others_open(client, invited, student, school):
    client.force_login(student)
    assert client.get(reverse("school:invitation", args=[invited[0].person_id])).status_code == 404


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(
    settings.DATABASES["default"]["ENGINE"].endswith("sqlite3"), reason="SQLite's writers take turns"
)
def test_two_who_take_one_invitation_up_at_once_get_one_person_and_one_sentence(invited):
    invitation, _ = invited
    both, ends = threading.Barrier(2), []

    def take(name):
        mine = Invitation.objects.select_related("person").get(pk=invitation.pk)
        both.wait(timeout=20)
        try:
            invitations.take_up(invitation=mine, username=name, password="a quick slow quick")
            ends.append(name)
        except ValidationError as refusal:
            ends.append(refusal.messages[0])
        finally:
            connections.close_all()

    threads = [threading.Thread(target=take, args=[name]) for name in ("edda", "hedda")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=30)
    won = Person.objects.get(pk=invitation.person_id).username
    assert sorted(ends) == sorted([won, invitations.USED])
