"""A group that types, at one moment."""

import pytest

from tests.factories import NOW, make_bench, slip_code
from tests.frontend.benches import sign_in


@pytest.fixture(autouse=True)
def _now(time_machine):
    time_machine.move_to(NOW, tick=False)


@pytest.fixture
def bench(client):
    bench = make_bench(slip=slip_code())
    sign_in(client)
    return bench
