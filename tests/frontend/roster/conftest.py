"""Who keeps a roster."""

import pytest

from tests.factories import make_staff
from tests.results.roster.courses import make_rostered


@pytest.fixture
def coordinator(client):
    course = make_rostered().course
    client.force_login(make_staff("ada", course=course))
    return client
