"""A school is saved in one file and brought back from it, on either database."""

import os
import sqlite3
import stat
from contextlib import closing

import pytest
from django.conf import settings

from school import backups
from school.backups import BackupError, postgresql, sqlite


@pytest.fixture
def school_file(tmp_path):
    """A small SQLite file in WAL mode that looks like a school's."""
    file = tmp_path / "live.sqlite3"
    with closing(sqlite3.connect(file)) as rows:
        rows.execute("PRAGMA journal_mode = WAL")
        rows.execute("CREATE TABLE school_personrole (name text)")
        rows.execute("INSERT INTO school_personrole VALUES ('Hester')")
        rows.commit()
    return file


def names_in(file):
    with closing(sqlite3.connect(file)) as rows:
        return [name for (name,) in rows.execute("SELECT name FROM school_personrole ORDER BY name")]


def add(file, name):
    with closing(sqlite3.connect(file)) as rows:
        rows.execute("INSERT INTO school_personrole VALUES (?)", [name])
        rows.commit()


class TestSqlite:
    def test_what_was_saved_comes_back_and_what_stood_before_is_kept(self, school_file, tmp_path):
        saved = tmp_path / "monday.backup"
        sqlite.save(school_file, saved)
        add(school_file, "Tobin")
        kept = sqlite.restore(saved, school_file)
        assert names_in(school_file) == ["Hester"]
        assert names_in(kept) == ["Hester", "Tobin"]
        assert kept.parent == school_file.parent

    def test_rows_not_yet_moved_out_of_the_log_are_saved_too(self, school_file, tmp_path):
        with closing(sqlite3.connect(school_file)) as held_open:
            held_open.execute("PRAGMA wal_autocheckpoint = 0")
            held_open.execute("INSERT INTO school_personrole VALUES ('Tobin')")
            held_open.commit()
            assert school_file.with_name("live.sqlite3-wal").stat().st_size > 0
            sqlite.save(school_file, tmp_path / "saved")
        assert names_in(tmp_path / "saved") == ["Hester", "Tobin"]

    def test_a_program_that_has_it_open_sees_the_restored_rows(self, school_file, tmp_path):
        sqlite.save(school_file, tmp_path / "saved")
        add(school_file, "Tobin")
        with closing(sqlite3.connect(school_file)) as held_open:
            count = "SELECT count(*) FROM school_personrole"
            assert held_open.execute(count).fetchone() == (2,)
            sqlite.restore(tmp_path / "saved", school_file)
            assert held_open.execute(count).fetchone() == (1,)

    def test_it_comes_back_where_there_was_none(self, school_file, tmp_path):
        sqlite.save(school_file, tmp_path / "saved")
        place = tmp_path / "new folder" / "live.sqlite3"
        assert sqlite.restore(tmp_path / "saved", place) is None
        assert names_in(place) == ["Hester"]

    def test_the_backup_is_one_file_and_nothing_unfinished_lies_about(self, school_file, tmp_path):
        folder = tmp_path / "backups"
        folder.mkdir()
        sqlite.save(school_file, folder / "saved")
        sqlite.restore(folder / "saved", school_file)
        assert [file.name for file in folder.iterdir()] == ["saved"]

    def spoilt(self, tmp_path, kind, school_file):
        file = tmp_path / kind
        if kind == "text":
            file.write_text("Dear diary, " * 200)
        elif kind == "empty":
            file.touch()
        elif kind == "another database":
            with closing(sqlite3.connect(file)) as rows:
                rows.execute("CREATE TABLE recipes (name text)")
        elif kind == "cut short":
            sqlite.save(school_file, file)
            file.write_bytes(file.read_bytes()[:5000])
        return file

    @pytest.mark.parametrize("kind", ["text", "empty", "another database", "cut short"])
    def test_a_file_that_is_no_backup_is_refused_and_nothing_changes(self, school_file, tmp_path, kind):
        file = self.spoilt(tmp_path, kind, school_file)
        with pytest.raises(BackupError, match=r"not a|damaged"):
            sqlite.restore(file, school_file)
        assert names_in(school_file) == ["Hester"]
        assert not list(tmp_path.glob("*before*"))

    def test_the_database_itself_is_no_place_for_its_backup(self, school_file):
        with pytest.raises(BackupError, match="the database itself"):
            sqlite.save(school_file, school_file)
        with pytest.raises(BackupError, match="the database itself"):
            sqlite.restore(school_file, school_file)

    def test_a_database_somebody_is_writing_to_is_not_half_overwritten(
        self, school_file, tmp_path, monkeypatch
    ):
        monkeypatch.setattr(sqlite, "SECONDS_TO_WAIT", 0.05)
        sqlite.save(school_file, tmp_path / "saved")
        with closing(sqlite3.connect(school_file, isolation_level=None)) as writer:
            writer.execute("BEGIN IMMEDIATE")
            writer.execute("INSERT INTO school_personrole VALUES ('Tobin')")
            with pytest.raises(BackupError, match="nothing has changed"):
                sqlite.restore(tmp_path / "saved", school_file)
            writer.execute("COMMIT")
        assert names_in(school_file) == ["Hester", "Tobin"]


class TestWhereItIsPut:
    def test_a_file_that_is_something_else_is_not_written_over(self, tmp_path):
        letter = tmp_path / "letter.txt"
        letter.write_text("Dear parents")
        with pytest.raises(BackupError, match="is not a backup"):
            backups.save_to(letter)
        assert letter.read_text() == "Dear parents"

    def test_a_folder_that_is_not_there_is_said(self, tmp_path):
        with pytest.raises(BackupError, match="There is no folder"):
            backups.save_to(tmp_path / "nowhere" / "file")
        with pytest.raises(BackupError, match="There is no file"):
            backups.bring_back(tmp_path / "nowhere")


class TestPostgresqlsPrograms:
    database = {"NAME": "hall", "USER": "freefoot", "PASSWORD": "slow-quick", "HOST": "db", "PORT": 5433}

    def pretend(self, folder, program, script):
        file = folder / program
        file.write_text(f"#!/bin/sh\n{script}\n")
        file.chmod(file.stat().st_mode | stat.S_IXUSR)

    def test_the_password_goes_by_the_environment_and_never_by_an_argument(self, tmp_path, monkeypatch):
        monkeypatch.setenv("PATH", f"{tmp_path}:{os.environ['PATH']}")
        self.pretend(
            tmp_path,
            "pg_dump",
            'for given in "$@"; do case $given in --file=*) into="${given#--file=}";; esac; done\n'
            'echo "PGDMP $PGPASSWORD $PGHOST $PGPORT $PGDATABASE $PGUSER | $*" > "$into"',
        )
        postgresql.save(self.database, tmp_path / "saved")
        environment, arguments = (tmp_path / "saved").read_text().split("|")
        assert environment.split() == ["PGDMP", "slow-quick", "db", "5433", "hall", "freefoot"]
        assert "slow-quick" not in arguments

    def test_where_they_are_missing_a_sentence_says_what_to_install(self, tmp_path, monkeypatch):
        monkeypatch.setenv("PATH", str(tmp_path))
        with pytest.raises(BackupError, match="pg_dump is not on this machine"):
            postgresql.save(self.database, tmp_path / "saved")

    def test_what_they_complain_of_is_passed_on_and_nothing_half_written_stays(self, tmp_path, monkeypatch):
        monkeypatch.setenv("PATH", f"{tmp_path}:{os.environ['PATH']}")
        self.pretend(tmp_path, "pg_dump", "echo 'pg_dump: error: server version mismatch' >&2; exit 1")
        with pytest.raises(BackupError, match="server version mismatch"):
            postgresql.save(self.database, tmp_path / "saved")
        assert [file.name for file in tmp_path.iterdir()] == ["pg_dump"]

    def test_a_backup_of_the_other_database_is_refused(self, school_file):
        with pytest.raises(BackupError, match="not a backup of a PostgreSQL database"):
            postgresql.restore(school_file, self.database)


class TestTheCommands:
    """The whole way on the database the tests run on: a school saved, changed, and brought back."""

    def test_a_school_comes_back_as_it_was_saved(self, manage, with_tables, tmp_path):
        manage("first_director", "hester", "Hester Quayle")
        saved = tmp_path / "saved.backup"
        assert "The school is saved in" in manage("backup", saved).stdout
        everybody = "from school.models import Person; print(sorted(p.name for p in Person.objects.all()))"
        manage("shell", "-c", "from school.models import Person; Person.objects.update(name='Nobody')")
        assert "Nobody" in manage("shell", "-c", everybody).stdout
        brought_back = manage("restore", saved)
        assert "as it was saved" in brought_back.stdout
        assert "What stood before is kept in" in brought_back.stdout
        assert "['Hester Quayle']" in manage("shell", "-c", everybody).stdout
        notice = "from school.changes import marks; from school.models import Room; before = marks(); "
        notice += "Room.objects.create(name='Attic'); print('noticed', before != marks())"
        assert "noticed True" in manage("shell", "-c", notice).stdout
        refused = manage("restore", settings.BASE_DIR / "manage.py")
        assert (refused.returncode, refused.stdout) == (1, "")
        assert "is not a backup" in refused.stderr
        assert "Traceback" not in refused.stderr
