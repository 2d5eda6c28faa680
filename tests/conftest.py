"""What every test may ask for: the fixed cast, signed in."""

import pytest

from tests.factories import PersonFactory, SchoolFactory


@pytest.fixture
def school(db):
    return SchoolFactory()


@pytest.fixture
def director(db):
    return PersonFactory(username="head", name="Hester Quayle", roles=["director", "instructor"])


@pytest.fixture
def instructor(db):
    return PersonFactory(username="teacher", name="Tobin Marl", roles=["instructor"])


@pytest.fixture
def student(db):
    return PersonFactory(username="learner", name="Lark Penfold", roles=["student"])


@pytest.fixture
def outsider(db):
    """Somebody who can sign in but has no role."""
    return PersonFactory(username="stranger", name="Sorrel Vane")


@pytest.fixture
def as_director(client, school, director):
    client.force_login(director, backend="django.contrib.auth.backends.ModelBackend")
    return client
