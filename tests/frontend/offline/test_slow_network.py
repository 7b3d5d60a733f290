"""The phone on a network that lets some answers wait."""

import threading

import pytest

from frontend.views import bench as bench_views
from results.models import Submission
from tests.factories import make_bench, slip_code
from tests.frontend.browsers import sign_in, type_readings
from tests.frontend.chromium import NEEDS_BROWSER
from tests.frontend.phones import held, until

pytestmark = NEEDS_BROWSER

LONGEST_S = 30


@pytest.fixture
def second_sheet(monkeypatch):
    """Let the second time that the sheet is asked for wait, until this is set."""
    goes_on, times = threading.Event(), []

    def waiting(*args, **kwargs):
        times.append(args)
        if len(times) == 2:
            goes_on.wait(LONGEST_S)
        return bench_sheet(*args, **kwargs)

    bench_sheet = bench_views.bench_sheet
    monkeypatch.setattr(bench_views, "bench_sheet", waiting)
    yield goes_on
    goes_on.set()


def test_a_page_to_be_held_that_takes_long_keeps_nothing_from_being_sent(
    tab, second_sheet
):
    make_bench(slip=slip_code())
    sign_in(tab)
    until(tab, "async () => navigator.serviceWorker.controller !== null")
    type_readings(tab)

    tab.get_by_role("button", name="Send").click()
    tab.wait_for_url("**/bench/result/1/", timeout=LONGEST_S * 500)
    second_sheet.set()
    held(tab)

    assert Submission.objects.count() == 1
