"""What was asked of the database while something was made of it, and what it answered: if it answers the same
when asked once more, later, so is what was made of it.

Nearly all the time of a query goes into putting it together and into making objects of its rows. Asked again
as it was sent, and its rows compared as they come, it costs next to nothing.
"""

from __future__ import annotations

import functools
import hashlib
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import Any

from django.apps import apps
from django.db import connection
from django.db.backends.utils import CursorWrapper
from django.db.models import QuerySet

Rows = list[Sequence[Any]]


@dataclass(frozen=True)
class Question:
    """A statement as it was sent, and the tables it may read from."""

    statement: str
    values: tuple[Any, ...] | None
    tables: frozenset[str]

    def ask(self) -> bytes:
        """A digest of the rows it gives now. One query."""
        with connection.cursor() as cursor:
            cursor.execute(self.statement, self.values)
            return self.digest(cursor.fetchall())

    def digest(self, rows: Rows) -> bytes:
        """Rows that were asked for in no order may come in any."""
        said = [repr(tuple(row)) for row in rows]
        in_order = said if "ORDER BY" in self.statement else sorted(said)
        return hashlib.blake2b("\n".join(in_order).encode(), digest_size=16).digest()


@dataclass
class Asked:
    """rows: question -> what was fetched of its answer, None where that is not known. known: question -> a
    digest of its answer, where that was at hand. only_reads: nothing was sent but questions that can be asked
    again."""

    rows: dict[Question, Rows | None] = field(default_factory=dict)
    known: dict[Question, bytes] = field(default_factory=dict)
    only_reads: bool = True

    @property
    def tables(self) -> frozenset[str]:
        return frozenset().union(*(question.tables for question in (*self.rows, *self.known)))

    def answers(self) -> dict[Question, bytes]:
        """Question -> a digest of its answer."""
        return self.known | {
            question: question.ask() if rows is None else question.digest(rows)
            for question, rows in self.rows.items()
        }


@contextmanager
def asked_meanwhile() -> Iterator[Asked]:
    """What is asked on this thread's connection: filled as it is asked."""
    asked = Asked()

    def notice(execute: Any, sql: str, params: Any, many: bool, context: Mapping[str, Any]) -> Any:
        result = execute(sql, params, many, context)
        values = params if params is None else tuple(params)
        if many or isinstance(params, Mapping) or not sql.lstrip("( ").upper().startswith("SELECT"):
            asked.only_reads = False
        else:
            _listen(context["cursor"], asked, Question(sql, values, _tables_in(sql)))
        return result

    before = _listening.set((*_listening.get(), asked))
    try:
        with connection.execute_wrapper(notice):
            yield asked
    finally:
        _listening.reset(before)


_listening: ContextVar[tuple[Asked, ...]] = ContextVar("listening", default=())


def answered(question: Question, said: bytes) -> bytes:
    """`said`, the digest of an answer that is known to be the same still. What is made of it meanwhile is
    made of the question as if that had been asked. No query."""
    for asked in _listening.get():
        asked.known[question] = said
    return said


def question_of(rows: QuerySet[Any]) -> Question:
    """What `rows` would ask."""
    statement, values = rows.query.sql_with_params()
    return Question(statement, tuple(values), _tables_in(statement))


def _listen(cursor: CursorWrapper, asked: Asked, question: Question) -> None:
    """Have the cursor note the rows that are fetched from it, until it is asked something else."""
    asked.rows[question] = None

    def heard(fetch: Callable[..., Any], *, one: bool) -> Callable[..., Any]:
        def fetched(*arguments: Any) -> Any:
            found = fetch(*arguments)
            rows = asked.rows[question] = asked.rows[question] or []
            rows.extend(([found] if found else []) if one else found)
            return found

        return fetched

    for name in ("fetchone", "fetchmany", "fetchall"):
        fetch = cursor.db.wrap_database_errors(getattr(cursor.cursor, name))
        setattr(cursor, name, heard(fetch, one=name == "fetchone"))


@functools.lru_cache(maxsize=4096)
def _tables_in(statement: str) -> frozenset[str]:
    """Every word of the statement that is a table: one read in whatever way is among them."""
    return _all_tables().intersection(re.findall(r"\w+", statement))


@functools.cache
def _all_tables() -> frozenset[str]:
    return frozenset(model._meta.db_table for model in apps.get_models(include_auto_created=True))
