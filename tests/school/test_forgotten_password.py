"""A forgotten password is chosen anew by a link that comes by mail."""

import re

import pytest
from django.core.cache import cache

from school.models import Person
from tests.factories import PersonFactory

ASK = "/password/forgotten/"
NEW = {"new_password": "a quick slow quick", "again": "a quick slow quick"}


@pytest.fixture(autouse=True)
def nobody_has_asked():
    cache.clear()


@pytest.fixture
def lark(school):
    return PersonFactory(
        name="Lark Penfold",
        username="lark",
        email="lark@example.org",
        roles=["student"],
        sign_in_with="slow-slow-quick",
    )


def link_in(mail):
    return re.search(r"http://testserver(/password/new/\S+)", mail.body)[1]


def test_the_link_of_the_mail_leads_to_a_new_password_and_works_once(client, lark, mailoutbox):
    client.post(ASK, {"email": "LARK@example.org"})
    (mail,) = mailoutbox
    assert "You sign in there as lark" in mail.body
    link = link_in(mail)
    form = client.get(link, follow=True)
    assert client.post(form.request["PATH_INFO"], NEW).url == "/sign-in/"
    assert Person.objects.get(pk=lark.pk).check_password(NEW["new_password"])
    client.session.flush()
    assert "It has been used" in client.get(link, follow=True).content.decode()


def test_whether_an_address_is_known_is_not_told(client, lark, mailoutbox):
    known, unknown = (client.post(ASK, {"email": said}) for said in ("lark@example.org", "no@example.org"))
    assert (known.status_code, known.url) == (unknown.status_code, unknown.url)
    assert [mail.to for mail in mailoutbox] == [["lark@example.org"]]


def test_everybody_reached_at_a_guardians_address_gets_a_link_of_their_own(client, lark, mailoutbox):
    PersonFactory(name="Wren", username="wren", email="lark@example.org", sign_in_with="one-two-three-four")
    client.post(ASK, {"email": "lark@example.org"})
    assert len({link_in(mail) for mail in mailoutbox}) == 2


def test_asking_again_at_once_sends_no_second_mail(client, lark, mailoutbox):
    for _ in range(3):
        client.post(ASK, {"email": "lark@example.org"})
    assert len(mailoutbox) == 1


def test_who_has_left_or_was_only_invited_gets_none(client, school, mailoutbox):
    PersonFactory(username="gone", email="x@example.org", is_active=False, sign_in_with="slow-slow-quick")
    invited = PersonFactory(username="invited", email="x@example.org")
    invited.set_unusable_password()
    invited.save()
    client.post(ASK, {"email": "x@example.org"})
    assert mailoutbox == []


def test_a_school_without_mail_says_whom_to_ask(client, school, settings):
    settings.SENDS_MAIL = False
    assert "This school sends no mail" in client.get(ASK).content.decode()


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"again": "another one"}, "The two are not the same."),
        ({"new_password": "password12", "again": "password12"}, "too common"),
    ],
)
def test_a_password_that_will_not_do_is_said_at_its_field(client, lark, mailoutbox, wrong, said):
    client.post(ASK, {"email": "lark@example.org"})
    form = client.get(link_in(mailoutbox[0]), follow=True)
    assert said in client.post(form.request["PATH_INFO"], NEW | wrong).content.decode()


def test_a_link_somebody_made_up_opens_nothing(client, lark):
    assert "It has been used, or is older" in client.get("/password/new/MQ/made-up/").content.decode()
