"""Signing in and out, choosing one's own password, and the throttle."""

import pytest
from django.test import Client
from django.urls import reverse

from school.actions import first_director, give_one_time_password, make_one_time_password
from school.addresses import client_address
from school.models import Person
from tests.factories import PersonFactory

SIGN_IN = "/sign-in/"


@pytest.fixture
def lark(school):
    return PersonFactory(
        username="lark", name="Lark Penfold", roles=["student"], sign_in_with="quick-slow-quick"
    )


def sign_in(client, username, password, **more):
    return client.post(SIGN_IN, {"username": username, "password": password, **more})


def is_signed_in(client):
    return "_auth_user_id" in client.session


def test_the_right_password_leads_to_todays_page(client, lark):
    answer = sign_in(client, "lark", "quick-slow-quick")
    assert (answer.status_code, answer.url) == (302, reverse("lessons:home"))
    assert is_signed_in(client)


def test_a_wrong_password_is_said_and_the_name_stays_in_its_field(client, lark):
    answer = sign_in(client, "lark", "slow-slow-quick")
    assert answer.status_code == 200
    assert b"do not go together" in answer.content
    assert b'value="lark"' in answer.content
    assert not is_signed_in(client)


def test_name_and_password_are_the_first_two_fields_one_sees(client, lark):
    page = client.get(SIGN_IN).content.decode()
    inputs = [part.split(">")[0] for part in page.split("<input ")[1:]]
    seen = [given for given in inputs if 'type="hidden"' not in given]
    assert ['name="username"' in seen[0], 'name="password"' in seen[1]] == [True, True]


def test_one_comes_back_to_the_page_one_wanted_but_never_to_another_site(client, lark):
    assert sign_in(client, "lark", "quick-slow-quick", next="/people/").url == "/people/"
    client.logout()
    elsewhere = sign_in(client, "lark", "quick-slow-quick", next="https://elsewhere.example/")
    assert elsewhere.url == reverse("lessons:home")


def test_who_has_left_cannot_sign_in(client, lark):
    Person.objects.filter(pk=lark.pk).update(is_active=False)
    sign_in(client, "lark", "quick-slow-quick")
    assert not is_signed_in(client)


def test_signing_out_is_a_button_and_never_a_link(client, lark):
    client.force_login(lark)
    assert client.get("/sign-out/").status_code == 405
    assert client.post("/sign-out/").url == SIGN_IN
    assert not is_signed_in(client)


def test_the_eighth_failure_closes_the_door_for_that_name_from_that_address_only(client, lark):
    PersonFactory(username="edda", roles=["student"], sign_in_with="one-two-three-four")
    answers = [sign_in(client, "lark", "guess").status_code for _ in range(8)]
    assert answers == [200] * 7 + [429]
    closed = sign_in(client, "lark", "quick-slow-quick")
    assert closed.status_code == 429
    assert b"quarter of an hour" in closed.content
    sign_in(client, "edda", "one-two-three-four")
    assert is_signed_in(client)


@pytest.mark.parametrize(
    ("proxies", "header", "address"),
    [
        (0, "203.0.113.7", "127.0.0.1"),
        (1, "203.0.113.7", "203.0.113.7"),
        (1, "10.9.9.9, 203.0.113.7", "203.0.113.7"),
        (2, "10.9.9.9, 203.0.113.7, 10.0.0.2", "203.0.113.7"),
        (2, "203.0.113.7", "127.0.0.1"),
        (1, "", "127.0.0.1"),
    ],
)
def test_behind_proxies_the_address_is_what_they_saw_and_not_what_a_visitor_wrote(
    rf, settings, proxies, header, address
):
    settings.PROXIES = proxies
    assert client_address(rf.get("/", headers={"X-Forwarded-For": header})) == address


def test_behind_a_proxy_the_throttle_tells_visitors_apart(client, lark, settings):
    settings.PROXIES = 1
    for _ in range(8):
        client.post(
            SIGN_IN, {"username": "lark"} | {"password": "guess"}, headers={"X-Forwarded-For": "203.0.113.7"}
        )
    own = {"username": "lark", "password": "quick-slow-quick"}
    assert client.post(SIGN_IN, own, headers={"X-Forwarded-For": "203.0.113.7"}).status_code == 429
    assert client.post(SIGN_IN, own, headers={"X-Forwarded-For": "203.0.113.8"}).status_code == 302


def test_signing_in_forgets_earlier_failures(client, lark):
    for _ in range(7):
        sign_in(client, "lark", "guess")
    sign_in(client, "lark", "quick-slow-quick")
    client.logout()
    assert sign_in(client, "lark", "guess").status_code == 200


def test_an_empty_school_says_how_to_begin(client, db):
    page = client.get(SIGN_IN).content.decode()
    assert "manage.py demo" in page
    assert "manage.py first_director" in page


def test_a_school_with_people_does_not(client, lark):
    assert "first_director" not in client.get(SIGN_IN).content.decode()


class TestOneTimePassword:
    def test_it_is_twelve_clear_letters_in_three_groups_and_never_the_same(self):
        made = {make_one_time_password() for _ in range(200)}
        assert len(made) == 200
        assert {len(word) for password in made for word in password.split("-")} == {4}
        assert not set("".join(made)) & set("ilo01")

    def test_every_page_leads_to_choosing_ones_own_first(self, client, lark):
        sign_in(client, "lark", give_one_time_password(person=lark))
        assert client.get("/people/").url == "/password/"
        assert client.post("/people/new/").url == "/password/"
        assert client.get("/people/", headers={"HX-Request": "true"}).headers["HX-Redirect"] == "/password/"

    def test_it_is_not_asked_for_again_and_signing_out_stays_open(self, client, lark):
        sign_in(client, "lark", give_one_time_password(person=lark))
        assert "old_password" not in client.get("/password/").content.decode()
        assert client.post("/sign-out/").url == SIGN_IN

    def test_after_choosing_the_way_is_free_and_the_session_goes_on(self, client, lark):
        sign_in(client, "lark", give_one_time_password(person=lark))
        own = {"new_password": "heel-toe-heel-close", "again": "heel-toe-heel-close"}
        assert client.post("/password/", own).url == reverse("lessons:home")
        assert client.get("/password/").status_code == 200
        lark.refresh_from_db()
        assert not lark.password_is_one_time
        assert lark.check_password("heel-toe-heel-close")

    def test_the_same_one_again_is_not_ones_own(self, client, lark):
        password = give_one_time_password(person=lark)
        sign_in(client, "lark", password)
        answer = client.post("/password/", {"new_password": password, "again": password})
        assert b"the password you have now" in answer.content


class TestChoosingAPassword:
    @pytest.fixture(autouse=True)
    def signed_in(self, client, lark):
        client.force_login(lark)

    def change(self, client, **given):
        whole = {"old_password": "quick-slow-quick", "new_password": "heel-toe-heel-close"}
        whole |= {"again": "heel-toe-heel-close"} | given
        return client.post("/password/", whole)

    def test_the_present_one_is_asked_for(self, client, lark):
        assert b"This is not your password" in self.change(client, old_password="guess").content
        lark.refresh_from_db()
        assert lark.check_password("quick-slow-quick")

    def test_the_new_one_is_typed_twice_alike(self, client):
        assert b"not the same" in self.change(client, again="heel-toe-heel-clasp").content

    def test_a_short_or_a_common_one_is_refused(self, client):
        assert b"too short" in self.change(client, new_password="a-b-c", again="a-b-c").content
        assert b"too common" in self.change(client, new_password="password123", again="password123").content

    def test_other_devices_are_signed_out(self, client, lark, django_user_model):
        other = type(client)()
        other.force_login(lark)
        self.change(client)
        assert other.get("/password/").status_code == 302
        assert client.get("/password/").status_code == 200


class TestFirstDirector:
    def test_begins_the_school_and_prints_a_password_for_one_time(self, client, db, capsys):
        password = first_director(
            username="hester", name="Hester Quayle", school_name="Testing Hall", time_zone="Europe/Lisbon"
        )
        assert sign_in(client, "hester", password).status_code == 302
        hester = Person.objects.get()
        assert hester.is_director
        assert hester.password_is_one_time

    def test_only_where_nobody_is_yet(self, lark):
        with pytest.raises(Exception, match="has people already"):
            first_director(username="h", name="H", school_name="S", time_zone="Europe/Lisbon")
        assert Person.objects.count() == 1

    def test_a_zone_that_is_none_is_said_and_nobody_is_made(self, db):
        with pytest.raises(Exception, match="not a time zone"):
            first_director(username="h", name="H", school_name="S", time_zone="Hilltop")
        assert not Person.objects.exists()


def test_a_page_that_needs_signing_in_says_so_there(client, lark):
    assert "You are not signed in, or no longer." in client.get("/people/", follow=True).content.decode()
    assert "no longer" not in client.get(SIGN_IN).content.decode()


def test_who_sent_a_form_after_their_session_ended_is_told_that_it_was_not_saved(client, lark):
    answer = client.post("/people/new/", {"name": "Ada Brinklow"}, follow=True)
    text = answer.content.decode()
    assert "what you just sent was not saved" in text
    assert '<input type="hidden" name="next" value="/people/new/">' in text


@pytest.mark.parametrize("said_by", ["Referer", "HX-Current-URL"])
def test_signed_in_again_they_come_to_the_page_on_which_the_form_stood(client, lark, said_by):
    address = reverse("school:charts-as")  # which only takes what is sent
    told = client.post(address, headers={said_by: "http://testserver/my-level/?role=L"})
    page = client.get(told.url)
    assert b"was not saved" in page.content
    assert sign_in(client, "lark", "quick-slow-quick", next=page.context["next"]).url == "/my-level/?role=L"


def test_another_site_that_sent_a_form_is_no_page_to_come_to(client, lark):
    address = reverse("school:charts-as")
    told = client.post(address, headers={"Referer": "https://elsewhere.example/my-level/"})
    assert "elsewhere" not in told.url


def test_where_there_is_nothing_to_read_a_page_says_so(client, lark):
    client.force_login(lark)
    for method in (client.get, client.head):
        answer = method(reverse("school:charts-as"))
        assert (answer.status_code, answer.headers["Allow"]) == (405, "POST")
    assert "Nothing to read here" in client.get(reverse("school:charts-as")).content.decode()


def test_a_form_from_before_the_last_sign_in_is_refused_in_a_sentence(db, school):
    strict = Client(enforce_csrf_checks=True)
    answer = strict.post(SIGN_IN, {"username": "lark", "password": "quick-slow-quick"})
    text = answer.content.decode()
    assert answer.status_code == 403
    assert "Nothing was changed." in text
    assert 'class="top"' in text
    assert "CSRF verification" not in text
