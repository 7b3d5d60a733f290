"""A course whose vials wait to be issued, and who coordinates it."""

import pytest

from tests.factories import actor, make_staff
from tests.results.issued import make_prepared


@pytest.fixture
def course():
    return make_prepared(lots=5)


@pytest.fixture
def ada(course):
    return actor(make_staff("ada", course=course))
