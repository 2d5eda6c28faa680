"""What was asked of the database, and what it answered, is noted as it goes by and can be asked again."""

import pytest
from django.db import connection
from django.db.models import Count, F

from lessons.models import Course, LessonSession
from school.changes.questions import Question, asked_meanwhile
from school.models import Person, Room
from tests.factories import LessonFactory, PersonFactory, RoomFactory

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def rows():
    RoomFactory.create_batch(3, width_metres="12.5")
    PersonFactory.create_batch(2, roles=["student", "instructor"])
    LessonFactory.create_batch(2)


WAYS = {
    "all": lambda: list(Room.objects.all()),
    "a few": lambda: list(Room.objects.all()[:2]),
    "the first": lambda: Room.objects.first(),
    "the one": lambda: Room.objects.get(pk=Room.objects.first().pk),
    "whether any": lambda: Room.objects.filter(name="none of this name").exists(),
    "how many": lambda: Room.objects.count(),
    "a sum": lambda: Room.objects.aggregate(Count("pk")),
    "values": lambda: list(Person.objects.values_list("name", "personrole__role")),
    "with what belongs to them": lambda: list(Person.objects.prefetch_related("personrole_set")),
    "joined": lambda: list(LessonSession.objects.select_related("course__term", "room").in_order()),
    "two together": lambda: list(
        Room.objects.order_by().values_list("pk").union(Person.objects.order_by().values_list("pk"))
    ),
    "bit by bit": lambda: list(Person.objects.iterator(chunk_size=1)),
    "one of many": lambda: next(iter(Person.objects.iterator(chunk_size=1))),
    "plain SQL": lambda: plain("SELECT name FROM school_room ORDER BY name"),
    "twice the same": lambda: [list(Room.objects.all()), list(Room.objects.all())],
}


def plain(statement):
    with connection.cursor() as cursor:
        cursor.execute(statement)
        return [cursor.fetchone(), *cursor.fetchmany(1), *cursor.fetchall()]


@pytest.mark.parametrize("way", sorted(WAYS.keys() - {"one of many"}))
def test_the_answer_noted_is_the_one_given_again(way):
    with asked_meanwhile() as asked:
        WAYS[way]()
    assert asked.only_reads
    assert None not in asked.rows.values()
    assert asked.answers() == {question: question.ask() for question in asked.rows}


def test_noting_costs_no_query_and_changes_no_answer(django_assert_num_queries):
    expected = [repr(ask()) for ask in WAYS.values()]
    with asked_meanwhile() as asked:
        assert [repr(ask()) for ask in WAYS.values()] == expected
    with django_assert_num_queries(0):
        asked.answers()


def test_what_nobody_fetched_in_a_known_way_is_asked_for_again(django_assert_num_queries):
    with asked_meanwhile() as asked, connection.cursor() as cursor:
        cursor.execute("SELECT name FROM school_room")
        assert len(list(cursor)) == 5
    with django_assert_num_queries(1):
        answers = asked.answers()
    assert answers == {question: question.ask() for question in asked.rows}


def test_the_tables_are_all_that_the_statement_names():
    with asked_meanwhile() as asked:
        list(Course.objects.filter(lessons__room__name="Attic").select_related("term"))
        plain("select 1 from school_person where exists (select 1 from school_closure)")
    joined = {"lessons_course", "lessons_lessonsession", "school_room", "school_term"}
    assert asked.tables == {*joined, "school_person", "school_closure"}


def test_a_write_is_no_question():
    with asked_meanwhile() as asked:
        Room.objects.update(note=F("note"))
    assert not asked.only_reads
    assert not asked.rows


class TestTheDigest:
    def question(self, statement):
        return Question(statement, (), frozenset())

    def test_tells_rows_in_an_order_from_the_same_in_another(self):
        ordered = self.question("SELECT name FROM school_room ORDER BY name")
        assert ordered.digest([("a",), ("b",)]) != ordered.digest([("b",), ("a",)])

    def test_does_not_where_none_was_asked_for(self):
        """PostgreSQL moves a row that is written to the end."""
        unordered = self.question("SELECT name FROM school_room")
        assert unordered.digest([("a",), ("b",)]) == unordered.digest([("b",), ("a",)])

    def test_tells_a_number_from_the_same_as_text_and_nothing_from_an_empty_text(self):
        question = self.question("SELECT name FROM school_room")
        assert len({question.digest([(value,)]) for value in (1, "1", None, "", "None")}) == 5
