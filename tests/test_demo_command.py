"""`manage.py demo` as one runs it: a process of its own, on a database of its own."""

import json
import os
import signal
import socket
import subprocess
import urllib.error
import urllib.request
from contextlib import closing
from pathlib import Path

import pytest

COUNT = """
from school.models import Person, Room
from curriculum.models import Figure
from lessons.models import Course
print("counted", *(kind.objects.count() for kind in (Person, Figure, Course, Room)))
"""


def count(manage):
    """How many people, figures, courses and rooms the database holds."""
    return [int(number) for number in manage("shell", "-c", COUNT).stdout.split("counted")[1].split()]


def children_of(pid):
    listed = subprocess.run(["ps", "-eo", "pid=,ppid="], capture_output=True, text=True, check=True).stdout
    pairs = [tuple(map(int, line.split())) for line in listed.splitlines()]
    children = [child for child, parent in pairs if parent == pid]
    return children + [grandchild for child in children for grandchild in children_of(child)]


def lives(pid):
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def test_it_makes_the_school_once_and_again_only_when_asked(manage):
    made = manage("demo", "--no-serve")
    assert made.returncode == 0, made.stderr
    assert "director, instructor or student" in made.stdout
    assert "freefoot-demo" in made.stdout
    people, figures, courses, rooms = count(manage)
    assert (people >= 20, figures >= 60, courses >= 6) == (True, True, True)

    manage("shell", "-c", "from school.models import Room; Room.objects.create(name='Attic')")
    manage("demo", "--no-serve")
    assert count(manage) == [people, figures, courses, rooms + 1]
    manage("demo", "--no-serve", "--reset")
    assert count(manage) == [people, figures, courses, rooms]


def test_the_story_can_be_told_on_any_day(manage, with_tables):
    manage("demo", "--no-serve", "--today", "2026-03-04")
    said = manage(
        "shell",
        "-c",
        "import datetime as dt; from school.models import Term; "
        "print('tonight', Term.objects.on(dt.date(2026, 3, 4)).exists())",
    )
    assert "tonight True" in said.stdout
    wrong = manage("demo", "--no-serve", "--today", "4.3.2026")
    assert "write it like 2026-03-04" in wrong.stderr


def test_it_leaves_a_school_of_ones_own_alone(manage, with_tables):
    manage("first_director", "hester", "Hester Quayle")
    for options in ([], ["--reset"]):
        refused = manage("demo", "--no-serve", *options)
        assert refused.returncode == 1
        assert "a school of its own" in refused.stderr
    assert count(manage) == [1, 0, 0, 0]


def test_a_taken_port_is_said_before_anything_is_made(manage, a_database, free_port):
    with closing(socket.socket()) as other:
        other.bind(("127.0.0.1", free_port))
        other.listen()
        refused = manage("demo", "--port", free_port)
    assert refused.returncode == 1
    assert f"Port {free_port} is taken" in refused.stderr
    assert "Traceback" not in refused.stderr
    assert refused.stdout == ""
    assert not list(Path(a_database["FREEFOOT_DATA"]).iterdir())


@pytest.mark.parametrize("ending", [signal.SIGINT, signal.SIGTERM])
def test_it_serves_and_ends_with_all_its_children(served, ending):
    assert served.address in served.said
    with urllib.request.urlopen(f"{served.address}/health/", timeout=10) as answer:
        health = json.load(answer)
    assert (health["database"], health["migrations"]) == ("ok", "ok")
    with urllib.request.urlopen(f"{served.address}/sign-in/", timeout=10) as answer:
        page = answer.read().decode()
    stylesheet = page.split('rel="stylesheet" href="')[1].split('"')[0]
    with urllib.request.urlopen(served.address + stylesheet, timeout=10) as answer:
        assert "immutable" in answer.headers["Cache-Control"]

    children = children_of(served.pid)
    assert len(children) >= 2
    served.send_signal(ending)
    rest, _ = served.communicate(timeout=15)
    assert served.returncode == 0, rest
    assert "The demo has ended" in rest
    assert not [child for child in children if lives(child)]
    with pytest.raises(urllib.error.URLError):
        urllib.request.urlopen(f"{served.address}/health/", timeout=2)


def test_a_child_that_dies_ends_the_demo_with_a_sentence(served):
    children = children_of(served.pid)
    worker = next(child for child in children if "worker" in arguments_of(child))
    os.kill(worker, signal.SIGKILL)
    rest, _ = served.communicate(timeout=15)
    assert served.returncode == 1
    assert "The worker ended by itself" in rest
    assert not [child for child in children if lives(child)]


def arguments_of(pid):
    shown = subprocess.run(["ps", "-o", "args=", "-p", str(pid)], capture_output=True, text=True, check=True)
    return shown.stdout.split()
