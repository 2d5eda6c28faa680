"""Plain data as JSON that a person can read and compare, and back.

Keys are sorted. What holds no further list or object and fits on a line stands on one: a step of a chart is
a line, so a comparison of two files shows the steps that differ.
"""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any, Final, NoReturn

from curriculum.travel.values import UnusableFile

LINE: Final = 160
_NO_JSON: Final = "This is not a curriculum file: its text is not JSON."


def write_json(data: Any) -> bytes:
    """UTF-8 with a line end at the end; the same for the same data."""
    return (_written(data, 0) + "\n").encode()


def read_json(data: bytes) -> Any:
    """Raises UnusableFile for what is not JSON in UTF-8, and for JSON that means two things at once."""
    try:
        return json.loads(
            data.decode("utf-8-sig"),
            object_pairs_hook=_once,
            parse_float=Decimal,
            parse_constant=_no_number,
        )
    except UnicodeDecodeError as error:
        raise UnusableFile("This is not a curriculum file: it is not text in UTF-8.") from error
    except RecursionError as error:
        raise UnusableFile(_NO_JSON) from error
    except json.JSONDecodeError as error:
        raise UnusableFile(f"{_NO_JSON} It breaks off in line {error.lineno}.") from error
    except UnusableFile:
        raise
    except ValueError as error:
        raise UnusableFile("There is a number in this file that is far too long.") from error


def _written(value: Any, depth: int) -> str:
    if not isinstance(value, dict | list) or not value:
        return _text(value)
    inside = "  " * (depth + 1)
    parts = value.values() if isinstance(value, dict) else value
    if not any(isinstance(part, dict | list) for part in parts):
        on_a_line = _text(value)
        if len(inside) + len(on_a_line) <= LINE:
            return on_a_line
    if isinstance(value, dict):
        lines = [f"{inside}{_text(key)}: {_written(value[key], depth + 1)}" for key in sorted(value)]
    else:
        lines = [inside + _written(part, depth + 1) for part in value]
    opening, closing = "{}" if isinstance(value, dict) else "[]"
    return "\n".join([opening, ",\n".join(lines), "  " * depth + closing])


def _text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=True)


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise UnusableFile(f"This file says “{key[:40]}” twice in one place, so one of the two is wrong.")
        found[key] = value
    return found


def _no_number(text: str) -> NoReturn:
    raise UnusableFile(f"There is a number in this file that is none: {text}.")
