"""The tables in the database are the tables in the models."""

import pytest
from django.core.management import call_command
from django.db import connection
from django.db.migrations.loader import MigrationLoader

pytestmark = pytest.mark.django_db


def test_no_model_has_changed_without_a_migration():
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_no_two_migrations_follow_the_same_one():
    assert MigrationLoader(connection).detect_conflicts() == {}
