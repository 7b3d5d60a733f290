"""A section with grades, and who sets them."""

import pytest

from tests.factories import make_staff
from tests.results.grading.classes import make_graded


@pytest.fixture
def graded():
    return make_graded(2, 1)


@pytest.fixture
def assistant(client, graded):
    section, _ = graded
    client.force_login(make_staff("ben", role="assistant", section=section))
    return client


@pytest.fixture
def coordinator(client, graded):
    section, _ = graded
    client.force_login(make_staff("ada", course=section.course))
    return client
