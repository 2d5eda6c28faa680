"""The database marks each change of a table, whoever writes and however."""

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import connection, transaction
from django.urls import reverse
from django.utils import timezone

from lessons.models import WorkerSign
from school.changes import marks, watch_tables, watched_tables
from school.models import Person, Room
from tests.factories import PersonFactory, RoomFactory

pytestmark = pytest.mark.django_db


def mark():
    """What stands for the rows of all rooms."""
    return marks()[Room._meta.db_table]


class TestTheMark:
    """Each way of writing goes through the database's own triggers."""

    WRITES = {
        "a row saved": lambda: RoomFactory(),
        "many rows at once": lambda: Room.objects.bulk_create([Room(name="Attic"), Room(name="Cellar")]),
        "many that may be there": lambda: Room.objects.bulk_create(
            [Room(name="Attic")], ignore_conflicts=True
        ),
        "one put in the place of another": lambda: Room.objects.bulk_create(
            [Room(name="Blue hall", note="cold")],
            update_conflicts=True,
            unique_fields=["name"],
            update_fields=["note"],
        ),
        "rows changed by one statement": lambda: Room.objects.update(note="Shoes off"),
        "many rows changed": lambda: Room.objects.bulk_update(
            [Room(pk=room.pk, note="warm") for room in Room.objects.all()], ["note"]
        ),
        "rows taken away": lambda: Room.objects.all().delete(),
        "rows taken away past the models": lambda: Room.objects.all()._raw_delete("default"),
        "plain SQL": lambda: connection.cursor().execute("UPDATE school_room SET note = 'x'"),
    }

    @pytest.mark.parametrize("write", WRITES.values(), ids=WRITES.keys())
    def test_any_way_of_writing_changes_it(self, write):
        RoomFactory(name="Blue hall")
        before = mark()
        write()
        assert mark() != before

    def test_reading_leaves_it_as_it_is(self):
        RoomFactory()
        before = mark()
        list(Room.objects.all())
        assert mark() == before

    def test_what_was_not_written_after_all_changes_nothing(self):
        before = mark()
        with transaction.atomic():
            RoomFactory()
            transaction.set_rollback(True)
        assert mark() == before

    def test_it_never_comes_again_however_much_is_written(self):
        room, seen = RoomFactory(), {mark()}
        for number in range(200):
            Room.objects.filter(pk=room.pk).update(note=f"note {number % 2}")
            seen.add(mark())
        assert len(seen) == 201

    def test_what_stands_for_the_rows_stays_small(self):
        room = RoomFactory()
        for _ in range(200):
            Room.objects.filter(pk=room.pk).update(note="again")
        with connection.cursor() as cursor:
            cursor.execute("SELECT count(*) FROM school_change WHERE name = 'school_room'")
            assert cursor.fetchone()[0] <= 16

    def test_another_tables_stays_as_it_is(self):
        before = marks()
        PersonFactory()
        changed = {table for table, said in marks().items() if before[table] != said}
        assert changed == {Person._meta.db_table}

    def test_a_worker_that_lives_on_and_somebody_signing_in_change_no_page(self, client, director):
        director.set_password("quick quick slow")
        director.save()
        before = marks()
        WorkerSign.objects.create(worker="hall-1", seen_at=timezone.now())
        asked = {"username": director.username, "password": "quick quick slow"}
        assert client.post(reverse("school:sign-in"), asked).status_code == 302
        assert marks() == before


class TestEveryTableIsWatched:
    def marked(self, table):
        """Whether a change of the table's rows would be marked, by what the database says of itself."""
        with connection.cursor() as cursor:
            if connection.vendor == "sqlite":
                cursor.execute(
                    "SELECT count(*) FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s", [table]
                )
                return cursor.fetchone()[0] == 3
            cursor.execute(
                "SELECT count(*) FROM pg_trigger WHERE tgrelid = %s::regclass AND tgname = 'marks_change'",
                [table],
            )
            return cursor.fetchone()[0] == 1

    def test_each_model_of_the_school_the_curriculum_and_the_lessons_is(self):
        ours = [apps.get_app_config(name) for name in ("school", "curriculum", "lessons")]
        tables = {model._meta.db_table for app in ours for model in app.get_models(include_auto_created=True)}
        tables.remove(WorkerSign._meta.db_table)
        assert len(tables) > 40
        assert tables <= watched_tables()
        assert [table for table in sorted(tables) if not self.marked(table)] == []

    @pytest.mark.django_db(transaction=True)
    def test_a_table_that_lost_it_is_watched_again_after_the_next_migrate(self):
        """As SQLite's do when a column changes: the table is made anew."""
        table = Room._meta.db_table
        with connection.cursor() as cursor:
            if connection.vendor == "sqlite":
                cursor.execute(f"DROP TRIGGER marks_{table}_insert")
            else:
                cursor.execute(f"DROP TRIGGER marks_change ON {table}")
        before = mark()
        RoomFactory()
        assert mark() == before
        call_command("migrate", verbosity=0, interactive=False)
        assert mark() != before
        assert self.marked(table)

    def test_watching_twice_is_watching_once(self):
        before = marks()
        watch_tables(using="default")
        assert marks() == before
        assert self.marked(Room._meta.db_table)
