"""A group at work on its phone."""

import pytest

from tests.factories import make_bench, slip_code
from tests.frontend.browsers import sign_in
from tests.frontend.phones import held


@pytest.fixture
def bench(tab):
    """A group whose phone holds the sheet."""
    bench = make_bench(slip=slip_code())
    sign_in(tab)
    held(tab)
    return bench
