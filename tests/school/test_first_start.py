"""An empty school is begun by whoever reads the code that its server printed."""

import re

import pytest

from school.first_start import BEGUN, NOT_THE_CODE, announce, begin, new_code
from school.models import FirstStartCode, Person, School
from tests.factories import PersonFactory

BEGIN = "/begin/"


def given(code, **other):
    return {
        "code": code,
        "school_name": "Testing Hall",
        "time_zone": "Europe/Vienna",
        "name": "Hester Quayle",
        "username": "hester",
        "new_password": "a quick slow quick",
        "again": "a quick slow quick",
    } | other


@pytest.fixture
def code(db):
    return new_code()


def test_the_server_prints_a_code_that_begins_the_school(client, db):
    said = []
    announce(said.append)
    code = re.search(r"the code ([a-z0-9-]+)", said[0])[1]
    assert client.post(BEGIN, given(code)).url == "/"
    hester = Person.objects.get(username="hester")
    assert hester.roles == {"director", "instructor"}
    assert School.current().time_zone == "Europe/Vienna"
    # signed in, and told what to do first
    assert "Add the first room" in client.get("/").content.decode()


@pytest.mark.parametrize(
    "retyped",
    [
        lambda code: f" {code.upper()} ",
        lambda code: code.replace("-", ""),
        lambda code: code.replace("-", " "),
        lambda code: code.replace("-", "–"),
        lambda code: " ".join(code),
    ],
    ids=["capitals", "no dashes", "spaces", "long dashes", "letter by letter"],
)
def test_it_may_be_typed_as_one_reads_it(client, code, retyped):
    assert client.post(BEGIN, given(retyped(code))).status_code == 302


@pytest.mark.parametrize("typed", ["europe/vienna", "EUROPE/VIENNA", " Europe/Vienna "])
def test_a_time_zone_may_be_spelt_in_any_letters(client, code, typed):
    client.post(BEGIN, given(code, time_zone=typed))
    assert School.current().time_zone == "Europe/Vienna"


def test_a_time_zone_of_two_words_may_have_a_space(client, code):
    client.post(BEGIN, given(code, time_zone="america/new york"))
    assert School.current().time_zone == "America/New_York"


def test_the_time_zones_there_are_come_up_while_typing(client, code):
    page = client.get(BEGIN).content.decode()
    assert 'list="time_zone-choices"' in page
    assert '<option value="Pacific/Auckland">' in page


def test_each_of_several_servers_has_a_code_that_holds(client, code):
    new_code()
    assert client.post(BEGIN, given(code)).status_code == 302


def test_signing_in_to_an_empty_school_leads_there(client, code):
    assert f'href="{BEGIN}"' in client.get("/sign-in/").content.decode()


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"code": "abcd-efgh-jkmn"}, NOT_THE_CODE),
        ({"code": ""}, "Fill this in."),
        ({"time_zone": "Vienna"}, "is not a time zone"),
        ({"again": "another"}, "The two are not the same."),
        ({"new_password": "password12", "again": "password12"}, "too common"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_the_rest_stays(client, code, wrong, said):
    page = client.post(BEGIN, given(code) | wrong).content.decode()
    assert said in page
    assert 'value="Hester Quayle"' in page
    assert not Person.objects.exists()


def test_once_somebody_is_there_the_page_is_gone_and_no_code_is_made(client, code, school):
    PersonFactory(username="first")
    assert client.get(BEGIN).status_code == 404
    assert client.post(BEGIN, given(code)).status_code == 404
    assert new_code() is None
    said = []
    announce(said.append)
    assert said == []


def test_who_was_slower_is_told_and_changes_nothing(code):
    PersonFactory(username="first")
    with pytest.raises(Exception, match=BEGUN):
        begin(
            code=code, school=School(name="Another"), person=Person(username="second", name="S"), password="x"
        )
    assert School.current() is None
    assert Person.objects.count() == 1


def test_a_code_is_used_up_and_kept_nowhere(client, code):
    assert code not in str(list(FirstStartCode.objects.values()))
    client.post(BEGIN, given(code))
    assert not FirstStartCode.objects.exists()


def test_before_the_tables_are_there_the_server_starts_all_the_same(manage):
    ran = manage("shell", "-c", "from school.first_start import announce; announce()")
    assert ran.returncode == 0
    assert "code" not in ran.stderr
