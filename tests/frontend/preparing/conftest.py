"""Who prepares a course."""

import pytest

from tests.factories import make_course, make_staff


@pytest.fixture
def ada(client):
    """The pages of a coordinator, whose course has a protocol."""
    make_course()
    client.force_login(make_staff("ada"))
    return client
