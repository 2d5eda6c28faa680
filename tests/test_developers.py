"""DEVELOPERS.md leads somebody new to the right file: each one it names is there."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
APPS = ("school", "curriculum", "lessons")
LINES = (ROOT / "DEVELOPERS.md").read_text().splitlines()
A_PATH = re.compile(r"`([\w./*-]*(?:\.(?:py|html|css|js|toml)|/))`")


def named(line):
    return A_PATH.findall(line)


def missing(line):
    """Paths that lead nowhere: each is looked for at the root, in an app, and round those before it."""
    folders, lost = [ROOT, *(ROOT / app for app in APPS)], []
    for path in named(line):
        found = [file for folder in folders for file in folder.glob(path.rstrip("/"))]
        if not found:
            lost.append(path)
        folders += [near for file in found for near in (file, *file.parents) if ROOT in near.parents]
    return lost


@pytest.mark.parametrize("line", [line for line in LINES if named(line)])
def test_each_file_it_names_is_there(line):
    assert missing(line) == []


def test_a_file_that_is_not_there_is_found_missing():
    assert missing("look at `lessons/urls.py`, `lessons/nowhere.py`, `access.py`") == ["lessons/nowhere.py"]
    assert missing("`lessons/rules/clashes.py` and `clash_words.py`") == ["clash_words.py"]
