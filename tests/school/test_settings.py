"""Settings as a service starts with them: safe by default, and said in a sentence where they are not."""

import os
import subprocess
import sys

import pytest
from django.conf import settings

ASK = """
import school.settings as s
engine = s.DATABASES["default"]["ENGINE"]
print(s.DEBUG, s.SESSION_COOKIE_SECURE, s.SECURE_HSTS_SECONDS, s.ALLOWED_HOSTS, engine)
"""


def start(**environment):
    """What a web server sees that imports the settings with just this in its environment."""
    kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    command = [sys.executable, "-c", ASK]
    return subprocess.run(
        command, cwd=settings.BASE_DIR, env=kept | environment, capture_output=True, text=True
    )


def test_without_a_secret_no_page_is_served():
    refused = start()
    assert refused.returncode != 0
    assert "FREEFOOT_SECRET_KEY is not set" in refused.stderr


@pytest.mark.parametrize(
    ("environment", "seen"),
    [
        ({}, "False False 0 ['localhost', '127.0.0.1', '[::1]'] django.db.backends.sqlite3"),
        (
            {"FREEFOOT_HOSTS": "plan.example.org", "FREEFOOT_ORIGINS": "https://plan.example.org"},
            "False True 3600 ['plan.example.org'] django.db.backends.sqlite3",
        ),
        (
            {"DATABASE_URL": "postgres://hall:secret@db/hall"},
            "False False 0 ['localhost', '127.0.0.1', '[::1]'] django.db.backends.postgresql",
        ),
    ],
    ids=["alone", "behind HTTPS", "on PostgreSQL"],
)
def test_with_one_it_is_safe_by_default_and_follows_the_environment(environment, seen):
    assert start(FREEFOOT_SECRET_KEY="long and random", **environment).stdout.strip() == seen


@pytest.mark.parametrize("said", ["many", "-1", "4.5"])
def test_what_is_no_number_of_pages_is_refused(said):
    refused = start(FREEFOOT_SECRET_KEY="long and random", FREEFOOT_KEPT_PAGES=said)
    assert refused.returncode != 0
    assert f"FREEFOOT_KEPT_PAGES is “{said}”" in refused.stderr


def test_a_command_signs_with_a_key_of_the_moment(manage):
    ask = "from django.conf import settings; print('key', settings.SECRET_KEY)"
    first, second = (manage("shell", "-c", ask).stdout.split("key ")[1] for _ in range(2))
    assert first != second
    assert len(first) > 50
