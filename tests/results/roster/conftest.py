"""A course with people on its roster, and who coordinates it."""

import pytest

from tests.results.roster.courses import coordinator, make_rostered


@pytest.fixture
def course():
    return make_rostered().course


@pytest.fixture
def ada(course):
    return coordinator(course)
