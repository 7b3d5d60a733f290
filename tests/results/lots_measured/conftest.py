"""A lot that nobody has measured yet, and who coordinates its course."""

import pytest

from tests.factories import actor, make_course, make_lot, make_staff


@pytest.fixture
def lot():
    return make_lot(make_course(), iron_percent=None)


@pytest.fixture
def ada(lot):
    return actor(make_staff("ada", course=lot.course))
