"""A Wednesday of the third week, and a figure."""

import pytest

from tests.factories import (
    FigureFactory,
)
from tests.lessons.private.pages import TODAY


@pytest.fixture(autouse=True)
def third_week(settings, school):
    settings.TODAY = TODAY.isoformat()


@pytest.fixture
def box():
    return FigureFactory(name="box step")
