"""The people pages: finding, adding, changing roles, leaving."""

import datetime as dt
import threading

import pytest
from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import connections
from django.urls import reverse

from school import clock
from school.actions import set_roles, suggest_username
from school.invitations import invite
from school.models import Person
from school.people_search import find_people
from school.plain_letters import plain_letters
from tests.factories import CourseFactory, EnrolmentFactory, PersonFactory, PlanFactory, RoomFactory
from tests.two_writers import change

PEOPLE = "/people/"


def names(page):
    return [person.name for person in page.context["page"]]


class TestFinding:
    @pytest.fixture(autouse=True)
    def cast(self, school):
        PersonFactory(name="Örjan Vale", username="orjan", roles=["student"])
        PersonFactory(name="Edda Hartigan", username="edda", roles=["student", "instructor"])
        PersonFactory(name="Edda Pell", username="edda2", roles=[])

    def test_everybody_stands_there_by_name(self, as_director):
        assert names(as_director.get(PEOPLE)) == ["Edda Hartigan", "Edda Pell", "Hester Quayle", "Örjan Vale"]

    @pytest.mark.parametrize(
        ("words", "found"),
        [
            ("edda", ["Edda Hartigan", "Edda Pell"]),
            ("pell EDDA", ["Edda Pell"]),
            ("örj", ["Örjan Vale"]),
            ("ÖRJ", ["Örjan Vale"]),
            ("orj val", ["Örjan Vale"]),
            ("ÉDDA hart", ["Edda Hartigan"]),
            ("orjan", ["Örjan Vale"]),
            ("(", []),
            ("nobody", []),
        ],
    )
    def test_by_any_part_of_the_name_whatever_its_case(self, words, found):
        assert [person.name for person in find_people(words)] == found

    @pytest.mark.parametrize("name", ["Zoë Straße", "Ｗｉｄｅ Letters", "Ægir İnan", "Per%cent Under_score"])
    def test_letters_the_database_folds_otherwise_are_found_as_all_are(self, name):
        PersonFactory(name=name, username="x1")
        for word in [*name.split(), *plain_letters(name).split()]:
            assert [person.name for person in find_people(word)] == [name], word

    def test_a_sign_in_name_beyond_ascii_is_found(self):
        PersonFactory(name="Wyn Oakes", username="çelik")
        assert [person.name for person in find_people("celik")] == ["Wyn Oakes"]

    def test_signs_that_mean_something_to_a_database_stand_for_themselves(self):
        assert find_people("%") == find_people("_") == find_people("e_da") == []

    @pytest.mark.parametrize(
        ("words", "found"),
        [
            ("hartigna", ["Edda Hartigan"]),
            ("Orjan Vael", ["Örjan Vale"]),
            ("peel", ["Edda Pell"]),
            ("xylophone", []),
        ],
    )
    def test_mistyped_it_offers_the_names_most_like_it(self, as_director, words, found):
        page = as_director.get(PEOPLE, {"q": words})
        assert names(page) == found
        assert (b"Like it:" in page.content) is bool(found)

    def test_names_and_roles_come_in_one_query(self, django_assert_num_queries):
        with django_assert_num_queries(1):
            (found,) = find_people("edda hart")
            assert (found.name, found.roles) == ("Edda Hartigan", {"student", "instructor"})

    def test_by_role_each_once(self, as_director):
        assert names(as_director.get(PEOPLE, {"role": "student"})) == ["Edda Hartigan", "Örjan Vale"]

    def test_a_role_that_is_none_is_overlooked(self, as_director):
        assert len(names(as_director.get(PEOPLE, {"role": "wizard"}))) == 4

    def test_nobody_found_says_so_and_leads_back(self, as_director):
        assert b"Nobody by that name" in as_director.get(PEOPLE, {"q": "zz"}).content


def test_how_somebody_signs_in_and_is_written_to_is_for_directors_alone(client, school, director, instructor):
    ada = PersonFactory(
        name="Ada Brinklow", username="ada-signs-in", email="ada@example.org", roles=["student"]
    )
    for reader, sees in ((director, True), (instructor, False)):
        client.force_login(reader)
        for address in (PEOPLE, reverse("school:person", args=[ada.pk])):
            text = client.get(address).content.decode()
            assert "Ada Brinklow" in text
            assert ("ada-signs-in" in text) is sees
        assert ("ada@example.org" in text) is sees


@pytest.mark.parametrize("many", [3, 120])
def test_a_name_is_sought_at_one_cost_among_few_and_many(as_director, django_assert_num_queries, many):
    for _ in range(many):
        PersonFactory(roles=["student", "instructor"])
    # session, person, their roles, school; and all that is found with its roles
    with django_assert_num_queries(5):
        as_director.get(PEOPLE, {"q": "person"})


def test_who_was_invited_and_has_not_come_is_found_by_directors_alone(client, school, director, instructor):
    waits, late, left = (PersonFactory(name=name) for name in ("Wren Ash", "Lea Toft", "Odo Fenn"))
    for person in (waits, late):
        invite(person=person, by=director)
    late.invitations.update(ends_at=clock.now() - dt.timedelta(days=1))
    Person.objects.filter(pk=left.pk).update(is_active=False)
    client.force_login(director)
    for state, found in {"waiting": ["Wren Ash"], "over": ["Lea Toft"], "left": ["Odo Fenn"]}.items():
        assert names(client.get(PEOPLE, {"state": state})) == found
    assert names(client.get(PEOPLE, {"state": "over", "q": "wren"})) == []
    client.force_login(instructor)
    assert len(names(client.get(PEOPLE, {"state": "over"}))) == 5


def test_the_last_added_come_first_where_that_is_asked_for(as_director):
    PersonFactory(name="Aaron First")
    assert names(as_director.get(PEOPLE, {"order": "newest"}))[0] == "Aaron First"
    PersonFactory(name="Zeno Last")
    assert names(as_director.get(PEOPLE, {"order": "newest"}))[0] == "Zeno Last"


@pytest.mark.parametrize("many", [3, 120])
def test_the_list_costs_the_same_for_few_and_many(as_director, django_assert_num_queries, many):
    for _ in range(many):
        PersonFactory(roles=["student", "instructor"])
    # session, person, their roles, school; the count, the page, its roles
    with django_assert_num_queries(7):
        as_director.get(PEOPLE)


def test_a_long_list_comes_in_pages_that_keep_what_was_sought(as_director):
    for number in range(60):
        PersonFactory(name=f"Twin {number:02}")
    first = as_director.get(PEOPLE, {"q": "twin"})
    assert len(names(first)) == 40
    assert b"?q=twin&amp;page=2" in first.content
    assert names(as_director.get(PEOPLE, {"q": "twin", "page": "2"}))[-1] == "Twin 59"
    assert as_director.get(PEOPLE, {"page": "many"}).status_code == 200


@pytest.mark.parametrize("more_roles", [0, 2])
def test_one_persons_page_costs_the_same_whatever_their_roles(
    as_director, django_assert_num_queries, more_roles
):
    shown = PersonFactory(roles=["student", "instructor"][:more_roles])
    # What they dance, teach, take for others, are called for, their private lessons and what they say of
    # photographs, beside the page itself.
    with django_assert_num_queries(14):
        as_director.get(reverse("school:person", args=[shown.pk]))


class TestAdding:
    def add(self, client, **given):
        whole = {"name": "Gwenda Sallow", "username": "", "email": "", "roles": ["student"]} | given
        return client.post(reverse("school:person-new"), whole)

    def test_the_password_is_shown_once_and_works_once(self, as_director, client):
        shown = as_director.get(self.add(as_director).url)
        password = shown.context["one_time_password"]
        assert password in shown.content.decode()
        assert password not in as_director.get(shown.request["PATH_INFO"]).content.decode()
        gwenda = Person.objects.get(name="Gwenda Sallow")
        assert gwenda.check_password(password)
        assert (gwenda.username, gwenda.roles) == ("gwenda.sallow", {"student"})
        assert gwenda.password_is_one_time

    def test_it_is_not_shown_on_another_persons_page(self, as_director, director):
        self.add(as_director)
        assert (
            as_director.get(reverse("school:person", args=[director.pk])).context["one_time_password"] is None
        )

    def test_the_name_one_signs_in_with_is_free_whatever_its_case(self, as_director):
        PersonFactory(username="gwenda")
        answer = self.add(as_director, username="Gwenda")
        assert b"Somebody already signs in with this name" in answer.content
        assert b'value="Gwenda Sallow"' in answer.content

    def test_under_eighteen_needs_a_guardian(self, as_director):
        assert b"Say who the guardian" in self.add(as_director, is_minor="on").content
        added = self.add(as_director, is_minor="on", guardian_name="Bram Sallow", email="bram@example.org")
        assert added.status_code == 302

    def test_two_may_share_a_guardians_address(self, as_director):
        for name in ("Zeb", "Zoe"):
            minor = {"is_minor": "on", "guardian_name": "Bram Sallow"}
            self.add(as_director, name=name, email="guardian@example.org", **minor)
        assert Person.objects.filter(email="guardian@example.org").count() == 2

    @pytest.mark.parametrize(
        ("name", "username"),
        [
            ("Edda Hartigan", "edda.hartigan"),
            ("Örjan O'Vale", "orjan.o.vale"),
            ("Zeb", "zeb2"),
            ("Ann", "ann3"),
            ("李雷", "person"),
        ],
    )
    def test_a_name_to_sign_in_with_is_made_of_the_persons_own(self, db, name, username):
        for taken in ("zeb", "Ann", "ann2", "annika"):
            PersonFactory(username=taken)
        assert suggest_username(name) == username


def test_contact_is_changed_and_what_is_wrong_stands_at_its_field(as_director):
    ada = PersonFactory(name="Ada Brinklow", username="ada", roles=["student"])
    address = reverse("school:person-edit", args=[ada.pk])
    wrong = change(as_director, address, email="at home")
    assert b"This is not an e-mail address" in wrong.content
    change(as_director, address, name="Ada Merrow", email="ada@example.org")
    ada.refresh_from_db()
    assert (ada.name, ada.email) == ("Ada Merrow", "ada@example.org")


def test_a_new_one_time_password_ends_the_old_one(as_director):
    ada = PersonFactory(username="ada", roles=["student"], sign_in_with="slow-slow-quick-quick")
    made = as_director.post(reverse("school:person-one-time-password", args=[ada.pk]))
    password = as_director.get(made.url).context["one_time_password"]
    ada.refresh_from_db()
    assert not ada.check_password("slow-slow-quick-quick")
    assert ada.check_password(password)


def test_who_has_left_is_given_no_password_that_would_not_let_them_in(as_director):
    ada = PersonFactory(roles=["student"], is_active=False)
    address = reverse("school:person-one-time-password", args=[ada.pk])
    assert address not in as_director.get(reverse("school:person", args=[ada.pk])).content.decode()
    for told in (as_director.get(address, follow=True), as_director.post(address, follow=True)):
        assert "has left and cannot sign in" in told.content.decode()
    ada.refresh_from_db()
    assert not ada.password_is_one_time


def test_a_name_to_sign_in_with_of_other_signs_is_refused_in_plain_words(as_director):
    answer = as_director.post(reverse("school:person-new"), {"username": "ada merrow", "name": "Ada Merrow"})
    assert "Only letters, digits and @ . + - _, without spaces." in answer.content.decode()


class TestRoles:
    def change(self, client, person, roles, **more):
        return client.post(reverse("school:person-roles", args=[person.pk]), {"roles": roles} | more)

    def test_are_given_and_taken(self, as_director):
        tobin = PersonFactory(roles=["student"])
        self.change(as_director, tobin, ["instructor", "director"], is_active="on")
        assert Person.objects.get(pk=tobin.pk).roles == {"instructor", "director"}

    def test_who_leaves_keeps_roles_and_records_but_cannot_sign_in(self, as_director):
        tobin = PersonFactory(roles=["instructor"])
        self.change(as_director, tobin, ["instructor"])
        tobin = Person.objects.get(pk=tobin.pk)
        assert (tobin.is_active, tobin.roles) == (False, {"instructor"})

    @pytest.mark.parametrize("given", [{"is_active": "on"}, {"roles": ["director"]}])
    def test_the_only_director_stays_one(self, as_director, director, given):
        answer = self.change(as_director, director, **({"roles": []} | given))
        assert b"only director" in answer.content
        kept = Person.objects.get(pk=director.pk)
        assert (kept.is_active, kept.is_director) == (True, True)

    def test_a_director_who_has_left_does_not_count(self, as_director, director):
        PersonFactory(roles=["director"], is_active=False)
        assert b"only director" in self.change(as_director, director, [], is_active="on").content

    def test_with_a_second_director_the_first_may_step_down(self, as_director, director):
        PersonFactory(roles=["director"])
        self.change(as_director, director, ["instructor"], is_active="on")
        assert Person.objects.get(pk=director.pk).roles == {"instructor"}

    @pytest.mark.django_db(transaction=True)
    @pytest.mark.skipif(
        settings.DATABASES["default"]["ENGINE"].endswith("sqlite3"),
        reason="SQLite's writers take turns by themselves",
    )
    def test_two_directors_cannot_each_take_the_role_from_the_other(self):
        pair = [PersonFactory(roles=["director"]) for _ in range(2)]
        at_once, refused = threading.Barrier(2), []

        def step_down(person):
            at_once.wait(timeout=10)
            try:
                set_roles(person=person, roles=["student"], is_active=True)
            except ValidationError as refusal:
                refused.append(refusal)
            finally:
                connections.close_all()

        threads = [threading.Thread(target=step_down, args=[person]) for person in pair]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert len(refused) == 1
        assert Person.objects.with_role("director").count() == 1


class TestSetUp:
    def test_the_school_and_its_rooms_are_changed_on_one_page(self, as_director):
        school = {"name": "Kelp Hall", "town": "", "time_zone": "Europe/Lisbon", "who_moves": "leaders"}
        change(as_director, "/school/", minutes_with_a_partner="4", **school)
        as_director.post("/school/rooms/new/", {"name": "Loft", "people": "18", "music_off": "21:45"})
        page = as_director.get("/school/").content.decode()
        assert "Kelp Hall" in page
        assert "Loft" in page
        assert "21:45" in page

    def test_a_zone_that_is_none_is_said_at_its_field(self, as_director):
        answer = as_director.post("/school/", {"name": "K", "time_zone": "Hilltop", "who_moves": "leaders"})
        assert "is not a time zone" in answer.content.decode()

    def test_two_rooms_cannot_share_a_name(self, as_director):
        for _ in range(2):
            answer = as_director.post("/school/rooms/new/", {"name": "Loft"})
        assert b"This is taken already. Choose another." in answer.content


def test_a_second_person_of_one_name_is_added_only_after_a_question(as_director):
    PersonFactory(name="Ada Brinklow", username="ada.brinklow")
    url, data = reverse("school:person-new"), {"name": "ada brinklow", "roles": ["student"]}
    asked = as_director.post(url, data)
    assert "There is a person called Ada Brinklow already, who signs in as ada.brinklow." in (
        asked.content.decode()
    )
    assert Person.objects.filter(name__iexact="Ada Brinklow").count() == 1
    as_director.post(url, data | {"seen": asked.context["form"]["seen"].value()})
    assert Person.objects.filter(name__iexact="Ada Brinklow").count() == 2


class TestDeletingAPerson:
    def delete(self, client, person):
        return client.post(reverse("school:person-remove", args=[person.pk]), follow=True).content.decode()

    def test_it_is_asked_first_what_follows(self, as_director):
        mistaken = PersonFactory(name="Ada Brinklow", roles=["student"])
        address = reverse("school:person-remove", args=[mistaken.pk])
        edit = as_director.get(reverse("school:person-edit", args=[mistaken.pk])).content.decode()
        assert f'href="{address}"' in edit
        page = as_director.get(address).content.decode()
        assert "Delete Ada Brinklow?" in page
        assert "It cannot be taken back." in page
        assert Person.objects.filter(pk=mistaken.pk).exists()

    def test_somebody_added_by_mistake_goes_with_their_roles(self, as_director):
        mistaken = PersonFactory(name="Ada Brinklow", roles=["student"])
        assert "Ada Brinklow is deleted." in self.delete(as_director, mistaken)
        assert not Person.objects.filter(pk=mistaken.pk).exists()

    def test_whoever_dances_teaches_or_wrote_something_stays(self, as_director, instructor):
        enrolment = EnrolmentFactory()
        CourseFactory(taught_by=[instructor])
        planner = PersonFactory(roles=["director"])
        PlanFactory(created_by=planner)
        for person, why in (
            (enrolment.person, "enrolments"),
            (instructor, "course instructors"),
            (planner, "term plans"),
        ):
            assert f"cannot be deleted: {why} would be lost" in self.delete(as_director, person)
            assert Person.objects.filter(pk=person.pk).exists()

    def test_nobody_deletes_themselves(self, as_director, director):
        assert "You cannot delete yourself." in self.delete(as_director, director)


def test_it_refuses_in_the_school_s_words(as_director):
    RoomFactory(name="Loft")
    answer = as_director.post(
        reverse("school:room-new"), {"name": "Loft", "people": "-3", "music_off": "late"}
    )
    assert answer.context["form"].errors == {
        "name": ["This is taken already. Choose another."],
        "people": ["Write 0 or more."],
        "music_off": ["This is not a time of day, like 19:30."],
    }
