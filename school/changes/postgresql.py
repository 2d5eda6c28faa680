"""PostgreSQL's marks: the set of a table's rows in an append-only one, to which each writing statement adds a
random one.

Writers wait for nobody, for they only add. What is not committed is not in the set that others see, and is
when it is: however late a transaction commits, the set is another one from then on. Each 16th row replaces
those of its table that its writer sees, and skips what somebody else is replacing; as it is new itself, the
set that remains has never been before.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from django.db.backends.utils import CursorWrapper

MARKS = "SELECT name, md5(string_agg(mark::text, '' ORDER BY mark)) FROM school_change GROUP BY name"
PREPARE = (
    "CREATE TABLE IF NOT EXISTS school_change (number bigserial PRIMARY KEY,"
    " name text NOT NULL, mark uuid NOT NULL DEFAULT gen_random_uuid())",
    # With a search path of its own, for a dump is restored with none.
    """CREATE OR REPLACE FUNCTION school_mark_change() RETURNS trigger LANGUAGE plpgsql
    SET search_path FROM CURRENT AS $$ DECLARE own bigint; BEGIN
      INSERT INTO school_change (name) VALUES (TG_TABLE_NAME) RETURNING number INTO own;
      IF own % 16 = 0 THEN
        DELETE FROM school_change WHERE number IN (
          SELECT number FROM school_change WHERE name = TG_TABLE_NAME AND number <> own
          FOR UPDATE SKIP LOCKED
        );
      END IF;
      RETURN NULL;
    END $$""",
)
# Restoring drops all tables, and the function as well.
FORGET = "DROP FUNCTION IF EXISTS school_mark_change CASCADE"
TRIGGER = """CREATE TRIGGER marks_change AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON "{table}"
FOR EACH STATEMENT EXECUTE FUNCTION school_mark_change()"""
MARK = "INSERT INTO school_change (name) VALUES ('{table}')"


def watching(cursor: CursorWrapper, tables: Collection[str]) -> Iterator[str]:
    """Statements that make the triggers which are not there, and mark what was written without them."""
    cursor.execute(
        "SELECT relname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid"
        " WHERE tgname = 'marks_change' AND relnamespace = current_schema()::regnamespace"
    )
    missing = sorted(set(tables) - {table for (table,) in cursor.fetchall()})
    for table in missing:
        yield TRIGGER.format(table=table)
        yield MARK.format(table=table)
