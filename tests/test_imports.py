"""Imports run one way, and the core knows nothing of Django: read from the source, not from running it."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
APPS = ("school", "curriculum", "lessons")
# Each app may import itself and what stands to its left.
MAY_IMPORT = {app: set(APPS[: place + 1]) for place, app in enumerate(APPS)}
CORE = ("school/rules", "curriculum/rules", "lessons/rules", "lessons/planners")
# A planner may look at how long it has been searching; what time it is, nobody in the core may ask.
CORE_MAY_NOT_IMPORT = {"django", "psycopg", "os", "random", "secrets", "logging"}
CLOCKS = {"today", "now", "utcnow", "time_ns"}


def source_files(folder):
    return sorted(path for path in (ROOT / folder).rglob("*.py") if "migrations" not in path.parts)


def imported(source, package=""):
    """Every module a file of `package` imports, in full, wherever in the file it does."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = package.split(".")[: len(package.split(".")) - node.level + 1] if node.level else []
            module = ".".join([*above, node.module] if node.module else above)
            yield module
            yield from (f"{module}.{alias.name}" for alias in node.names)


def imports_of(path):
    package = ".".join(path.relative_to(ROOT).parts[:-1])
    return set(imported(path.read_text(), package))


def packages_of(path):
    return {name.split(".")[0] for name in imports_of(path)}


def chance_free(imports):
    """The packages, but for dice thrown by a seed: `from random import Random` and nothing else of it."""
    chance = {name for name in imports if name.split(".")[0] == "random"}
    return {
        name.split(".")[0] for name in imports - (chance if chance == {"random", "random.Random"} else set())
    }


def calls_in(source):
    return [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call)]


def called(call):
    """The name of what is called, or "" where it has none."""
    return getattr(call.func, "attr", getattr(call.func, "id", ""))


def methods_called(source):
    calls = (call.func for call in calls_in(source))
    return {function.attr for function in calls if isinstance(function, ast.Attribute)}


@pytest.mark.parametrize("app", APPS)
def test_an_app_imports_itself_and_what_lies_below_it(app):
    wrong = {
        str(path.relative_to(ROOT)): upward
        for path in source_files(app)
        if (upward := packages_of(path) & (set(APPS) - MAY_IMPORT[app]))
    }
    assert wrong == {}


@pytest.mark.parametrize("folder", CORE)
def test_the_core_imports_neither_django_nor_chance(folder):
    wrong = {
        str(path.relative_to(ROOT)): found
        for path in source_files(folder)
        if (found := chance_free(imports_of(path)) & CORE_MAY_NOT_IMPORT)
    }
    assert wrong == {}


@pytest.mark.parametrize("folder", CORE)
def test_dice_in_the_core_fall_as_their_seed_says(folder):
    for path in source_files(folder):
        dice = [call for call in calls_in(path.read_text()) if called(call) == "Random"]
        assert all(call.args for call in dice), path


@pytest.mark.parametrize("folder", CORE)
def test_the_core_does_not_ask_what_day_or_time_it_is(folder):
    wrong = {
        str(path.relative_to(ROOT)): asked
        for path in source_files(folder)
        if (asked := methods_called(path.read_text()) & CLOCKS)
    }
    assert wrong == {}


@pytest.mark.parametrize("folder", CORE)
def test_the_core_imports_no_room_of_the_shell(folder):
    shell = {f"{app}.{room}" for app in APPS for room in ("models", "views", "forms", "actions", "problems")}
    shell |= {"school.clock", "school.settings", "school.access"}
    wrong = {
        str(path.relative_to(ROOT)): found
        for path in source_files(folder)
        if (found := {".".join(name.split(".")[:2]) for name in imports_of(path)} & shell)
    }
    assert wrong == {}


def test_the_reader_sees_an_import_wherever_it_stands():
    source = (
        "import a.b\ndef f():\n    from lessons.models import Course\n    import django.db as d\n"
        "from .near import x\nfrom ..models import y\nfrom . import z\n"
    )
    read = set(imported(source, "lessons.rules"))
    assert {"a.b", "lessons.models.Course", "django.db"} < read
    assert {"lessons.rules.near.x", "lessons.models.y", "lessons.rules.z"} < read
    assert methods_called("import datetime as dt\nprint(dt.date.today())") == {"today"}
