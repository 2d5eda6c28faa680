"""What is kept about somebody is theirs to read, and goes when they ask for it; the counts stay right."""

import datetime as dt
import json

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from lessons.actions.erasing import ERASED, ask_to_be_erased, erase
from lessons.models import (
    Attendance,
    Enrolment,
    NotPaired,
    OwnMark,
    OwnNote,
    PrivateLesson,
    SignOff,
    Standing,
)
from lessons.people.about import ABOUT, Fate
from lessons.people.kept_about import kept_about
from lessons.people.kept_words import SENTENCES, kept_in_words
from school import clock
from school.models import Person
from tests.factories import (
    CatchUpFactory,
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    PersonFactory,
    PrivateLessonFactory,
    RecordFactory,
    RoomFactory,
    weekly_lessons,
)

# What stands with the name of who did it for the school, and is nobody's private matter.
WORK = {
    "made_by", "by", "taken_back_by", "created_by", "published_by", "recorded_by", "asked_by", "changed_by",
    "answered_by", "called_by", "entered_by", "signed_by", "instructor", "instructors", "shows", "leads",
}  # fmt: skip


@pytest.fixture
def lark(settings, school, student, instructor):
    """In a course with a lesson danced, with a mark, a note, a sign-off and more."""
    settings.TODAY = "2026-01-21"
    figure = FigureFactory()
    course = CourseFactory(level=figure.level, taught_by=[instructor])
    lessons = weekly_lessons(course, 4)
    EnrolmentFactory(course=course, person=student, role="L")
    record = RecordFactory(lesson=lessons[0])
    Attendance.objects.create(record=record, person=student, role="L")
    OwnMark.objects.create(person=student, figure=figure, role="L", mark="easy")
    OwnNote.objects.create(person=student, figure=figure, text="left shoulder")
    Standing.objects.create(person=student, level=figure.level, role="L")
    SignOff.objects.create(
        person=student, figure=figure, role="L", day=dt.date(2026, 1, 14), signed_by=instructor
    )
    CatchUpFactory(lesson=lessons[3], person=student)
    private = PrivateLessonFactory(
        person=student, instructor=instructor, homework="slow boxes", start=dt.time(18)
    )
    private.worked_on.create(figure=figure, outcome="reviewed", went="shaky")
    NotPaired.objects.create(person=student, other=PersonFactory())
    return student


def test_everything_that_points_at_a_person_is_accounted_for():
    """A new table about people fails here until it is deleted, counted or named as work."""
    known = {about.model for about in ABOUT}
    relations = (
        field
        for field in Person._meta.get_fields(include_hidden=True)
        if field.auto_created and not field.concrete
    )
    forgotten = {
        field.related_model.__name__
        for field in relations
        if field.related_model not in known and field.field.name not in WORK
    }
    assert forgotten == set()


def test_what_is_not_told_is_told_elsewhere_or_is_about_two():
    """A new table about people fails here until what it says is told, or somebody decides that it is not."""
    assert {about.model.__name__ for about in ABOUT if not about.told} == {
        "PersonRole",
        "TeachingPair",
        "NotPaired",
    }


def test_somebody_reads_all_of_it_and_takes_it_away(client, lark):
    client.force_login(lark)
    page = client.get("/me/kept/").content.decode()
    said_so = ("left shoulder", "without thinking", "slow boxes", "Tobin Marl", "leader", "18:00", "shaky")
    for said in ("Lark Penfold", *said_so):
        assert said in page
    told = json.loads(client.get("/me/kept/file/").content)
    (note,) = told["own notes"]
    assert (note["text"], note["figure"]) == ("left shoulder", told["own marks"][0]["figure"])
    assert [len(told[part]) for part in ("courses", "lessons attended", "levels", "signed off")] == [1] * 4


def test_every_table_that_is_told_is_told_in_sentences():
    """A new table about people fails here until its rows are said as a person says them."""
    assert set(SENTENCES) == {about.told for about in ABOUT if about.told}


def test_each_row_is_a_sentence_and_no_word_is_a_fields(client, lark, instructor):
    mark = OwnMark.objects.get(person=lark)
    mark.marked_at = dt.datetime(2026, 1, 14, 21, 30, tzinfo=dt.UTC)
    mark.save()
    Enrolment.objects.filter(person=lark).update(left=dt.date(2026, 1, 20))
    told = dict(kept_in_words(kept_about(lark)))
    course, figure = Enrolment.objects.get(person=lark).course.name, mark.figure.name
    first = f"{figure[0].upper()}{figure[1:]}"
    assert told["courses"] == [f"{course}, as leader, from 5 January 2026, to 20 January 2026."]
    assert told["lessons attended"] == [f"6 January 2026, {course}, as leader."]
    assert told["own marks"] == [f"{first}, as leader, “without thinking”, marked on 14 January 2026."]
    assert told["own notes"] == [f"{first}. “left shoulder”"]
    assert told["signed off"] == [f"{first}, as leader, on 14 January 2026, by Tobin Marl."]
    (private,) = told["private lessons"]
    assert private.endswith("as follower, with Tobin Marl. Homework: slow boxes")
    assert told["worked on in private lessons"][0].endswith(f", {figure}, done again, shaky.")
    client.force_login(lark)
    page = client.get("/me/kept/").content.decode()
    for raw in ("dances both", "waiting no", "charts shown as", "none;"):
        assert raw not in page
    assert "None" not in str(told)


def test_it_says_nothing_of_anybody_else(client, lark):
    other = PersonFactory(name="Wren Tolliver", roles=["student"])
    OwnNote.objects.create(person=other, figure=FigureFactory(), text="only mine")
    client.force_login(lark)
    assert "only mine" not in client.get("/me/kept/").content.decode()
    assert "Wren" not in client.get("/me/kept/file/").content.decode()


@pytest.mark.parametrize("more", [0, 30])
def test_it_costs_the_same_for_little_and_much(client, lark, django_assert_num_queries, more):
    for _ in range(more):
        OwnMark.objects.create(person=lark, figure=FigureFactory(), role="L", mark="easy")
    client.force_login(lark)
    # session, person, their roles, the school, and what is kept
    with django_assert_num_queries(24):
        client.get("/me/kept/")


def test_asking_to_be_erased_waits_for_the_director_and_can_be_taken_back(client, lark, director):
    client.force_login(lark)
    client.post("/me/kept/erase/")
    client.force_login(director)
    assert "Lark Penfold asks to be erased." in client.get("/").content.decode()
    client.force_login(lark)
    client.post("/me/kept/erase/", {"take-back": "1"})
    client.force_login(director)
    assert "asks to be erased" not in client.get("/").content.decode()


def test_a_director_reads_what_goes_and_it_is_gone_while_the_counts_stay(client, lark, director):
    people = Attendance.objects.count(), Enrolment.objects.count()
    client.force_login(director)
    erasing = reverse("lessons:person-erase", args=[lark.pk])
    assert "Goes:" in client.get(erasing).content.decode()
    assert client.post(erasing).url == reverse("school:people")
    lark.refresh_from_db()
    assert (lark.name, lark.email, lark.is_active, lark.roles) == (ERASED, "", False, frozenset())
    assert not lark.has_usable_password()
    assert (Attendance.objects.count(), Enrolment.objects.count()) == people
    assert Enrolment.objects.get(person=lark).left == dt.date(2026, 1, 21)
    assert not any(about.rows(lark).exists() for about in ABOUT if about.fate is Fate.GOES)
    assert "Lark" not in json.dumps(kept_about(lark), default=str)
    assert "slow boxes" not in json.dumps(kept_about(lark), default=str)


class TestAPrivateLessonAhead:
    """Nobody is left to give it to: it is taken out, and its instructor and room are free again."""

    @pytest.fixture
    def ahead(self, lark, instructor, wall_clock):
        wall_clock("16:00")
        today = clock.today()
        at = {"person": lark, "instructor": instructor}
        PrivateLessonFactory(**at, date=today, start=dt.time(15, 0))
        PrivateLessonFactory(**at, date=today, start=dt.time(17, 30), room=RoomFactory(name="Loft"))
        PrivateLessonFactory(**at, date=today + dt.timedelta(days=7), start=dt.time(17, 30))
        return lark

    def test_is_said_before_and_gone_after(self, client, ahead, director):
        client.force_login(director)
        erasing = reverse("lessons:person-erase", args=[ahead.pk])
        page = client.get(erasing).content.decode()
        assert "the private lesson with Tobin on Wednesday 21 January, 17:30; Tobin and Loft are free" in page
        assert "the private lesson with Tobin on Wednesday 28 January, 17:30" in page
        assert "15:00" not in page
        client.post(erasing)
        left = PrivateLesson.objects.filter(person=ahead).order_by("date", "start")
        assert [(row.date, row.start) for row in left if row.date == clock.today()] == [
            (clock.today(), dt.time(15, 0))
        ]
        assert not left.filter(date__gt=clock.today()).exists()

    def test_is_said_to_whoever_asks_to_be_erased(self, client, ahead):
        client.force_login(ahead)
        page = client.get("/me/kept/erase/").content.decode()
        assert "your private lesson with Tobin on Wednesday 28 January, 17:30" in page


def test_asking_to_be_erased_is_not_one_touch(client, lark):
    client.force_login(lark)
    assert 'href="/me/kept/erase/"' in client.get("/me/kept/").content.decode()
    page = client.get("/me/kept/erase/").content.decode()
    assert "Ask to be erased?" in page
    assert "Stays, without your name" in page
    lark.refresh_from_db()
    assert lark.asked_to_be_erased is None


def test_the_person_s_page_says_to_a_director_alone_that_they_ask(client, lark, director, instructor):
    ask_to_be_erased(person=lark, wanted=True)
    for reader, is_told in ((director, True), (instructor, False)):
        client.force_login(reader)
        page = client.get(reverse("school:person", args=[lark.pk])).content.decode()
        assert (" to be erased." in page) == is_told
        assert page.count(reverse("lessons:person-erase", args=[lark.pk])) == 2 * is_told
    withdrawn = Person.objects.get(pk=lark.pk)
    ask_to_be_erased(person=withdrawn, wanted=False)
    client.force_login(director)
    page = client.get(reverse("school:person", args=[lark.pk])).content.decode()
    assert " to be erased." not in page


def test_who_is_erased_can_no_longer_sign_in(client, lark, director):
    client.force_login(lark)
    erase(person=lark, by=director)
    assert client.get("/").url.startswith("/sign-in/")


def taught(person, course):
    course.courseinstructor_set.create(person=person)


def works(person, course):
    person.personrole_set.create(role="instructor")


@pytest.mark.parametrize(("because", "said"), [(taught, "has taught here"), (works, "works here")])
def test_who_taught_stays_by_name_and_the_page_says_so(client, lark, director, because, said):
    because(lark, CourseFactory())
    client.force_login(director)
    answer = client.post(reverse("lessons:person-erase", args=[lark.pk]))
    assert (answer.status_code, said in answer.content.decode()) == (409, True)
    with pytest.raises(ValidationError, match=said):
        erase(person=Person.objects.get(pk=lark.pk), by=director)
    assert Person.objects.get(pk=lark.pk).name == "Lark Penfold"


def test_nobody_looks_for_or_changes_who_was_erased(client, lark, director):
    erase(person=lark, by=director)
    client.force_login(director)
    assert "erased" not in client.get(reverse("school:people")).content.decode()
    page = client.get(reverse("school:person", args=[lark.pk])).content.decode()
    assert "Erased on 21 January 2026." in page
    for name in ("person-edit", "person-roles", "person-one-time-password", "person-remove", "invite"):
        address = reverse(f"school:{name}", args=[lark.pk])
        assert address not in page
        assert client.post(address).status_code == 404


def test_erasing_twice_changes_nothing_more(lark, director):
    erase(person=lark, by=director)
    with pytest.raises(ValidationError, match="Nothing of them is left"):
        erase(person=lark, by=director)
