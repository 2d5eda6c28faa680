"""What was asked of the database while something was made of it, to be asked once more later: if all the
answers are the same, so is what was made of them.

Nearly all the time of a query goes into putting it together and into making objects of its rows. Asked again
as it was sent, and its rows compared as they come, it costs next to nothing.
"""

from __future__ import annotations

import functools
import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from django.apps import apps
from django.db import connection


@dataclass(frozen=True)
class Question:
    """A statement as it was sent, and the tables it may read from."""

    statement: str
    values: tuple[Any, ...]
    tables: frozenset[str]

    def answer(self) -> bytes:
        """A digest of the rows it gives now. One query."""
        with connection.cursor() as cursor:
            cursor.execute(self.statement, self.values)
            return hashlib.blake2b(repr(cursor.fetchall()).encode(), digest_size=16).digest()


@dataclass
class Asked:
    """questions: each once. only_reads: nothing but questions was sent."""

    questions: dict[Question, None] = field(default_factory=dict)
    only_reads: bool = True

    @property
    def tables(self) -> frozenset[str]:
        return frozenset().union(*(question.tables for question in self.questions))


@contextmanager
def asked_meanwhile() -> Iterator[Asked]:
    """What is asked on this thread's connection: filled as it is asked."""
    asked = Asked()

    def notice(execute: Any, sql: str, params: Any, many: bool, context: Mapping[str, Any]) -> Any:
        if many or not sql.startswith(("SELECT", "(SELECT", "WITH")):
            asked.only_reads = False
        else:
            asked.questions[Question(sql, tuple(params or ()), _tables_in(sql))] = None
        return execute(sql, params, many, context)

    with connection.execute_wrapper(notice):
        yield asked


def answers(questions: Iterable[Question]) -> dict[Question, bytes]:
    return {question: question.answer() for question in questions}


@functools.lru_cache(maxsize=4096)
def _tables_in(statement: str) -> frozenset[str]:
    """Every word of the statement that is a table: one read in whatever way is among them."""
    return _all_tables().intersection(re.findall(r"\w+", statement))


@functools.cache
def _all_tables() -> frozenset[str]:
    return frozenset(model._meta.db_table for model in apps.get_models(include_auto_created=True))
