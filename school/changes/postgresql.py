"""PostgreSQL's mark: the set of rows in an append-only table, to which each writing statement adds a random
one.

Writers wait for nobody, for they only add. What is not committed is not in the set that others see, and is
when it is: however late a transaction commits, the set is another one from then on. Each 64th row replaces
those its writer sees, and skips what somebody else is replacing; as it is new itself, the set that remains
has never been before.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.db.backends.utils import CursorWrapper

MARK = "SELECT md5(string_agg(mark::text, '' ORDER BY mark)) FROM school_change"
PREPARE = (
    "CREATE TABLE IF NOT EXISTS school_change"
    " (number bigserial PRIMARY KEY, mark uuid NOT NULL DEFAULT gen_random_uuid())",
    # With a search path of its own, for a dump is restored with none.
    """CREATE OR REPLACE FUNCTION school_mark_change() RETURNS trigger LANGUAGE plpgsql
    SET search_path FROM CURRENT AS $$ DECLARE own bigint; BEGIN
      INSERT INTO school_change DEFAULT VALUES RETURNING number INTO own;
      IF own % 64 = 0 THEN
        DELETE FROM school_change WHERE number IN
          (SELECT number FROM school_change WHERE number <> own FOR UPDATE SKIP LOCKED);
      END IF;
      RETURN NULL;
    END $$""",
    # Something stands for the rows before the first write as well.
    "INSERT INTO school_change (mark)"
    " SELECT gen_random_uuid() WHERE NOT EXISTS (SELECT 1 FROM school_change)",
)
# Restoring drops all tables, and the function as well.
FORGET = "DROP FUNCTION IF EXISTS school_mark_change CASCADE"


def missing_triggers(cursor: CursorWrapper, tables: Iterable[str]) -> Iterator[str]:
    """Statements that make the triggers which are not there."""
    cursor.execute(
        "SELECT relname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid"
        " WHERE tgname = 'marks_change' AND relnamespace = current_schema()::regnamespace"
    )
    there = {table for (table,) in cursor.fetchall()}
    for table in sorted(set(tables) - there):
        yield (
            f'CREATE TRIGGER marks_change AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON "{table}"'
            " FOR EACH STATEMENT EXECUTE FUNCTION school_mark_change()"
        )
