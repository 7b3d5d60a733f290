"""The demonstration starts, serves, and stops all it started."""

import os
import signal
import sys
import urllib.request

import pytest

from results.management import processes
from tests.processes.site import Site, wait_for

pytestmark = pytest.mark.timeout(120)


@pytest.fixture
def site(tmp_path):
    site = Site(
        tmp_path, f"sqlite:///{tmp_path / 'demo.sqlite3'}", "filesystem://localhost"
    )
    yield site
    site.stop_all()


def start(site):
    demo = site.start(
        [sys.executable, "-u", "manage.py", "demo", "--port", str(site.port)]
    )
    wait_for(
        lambda: "Ctrl-C stops it" in (site.folder / "output.txt").read_text(),
        within_s=60,
        what="welcome",
    )
    return demo


def test_the_demo_computes_its_course_and_ctrl_c_stops_everything(site):
    demo = start(site)
    submitted = site.ask("SELECT count(*) FROM results_submission")

    site.wait_until_computed(submitted, within_s=30)
    page = urllib.request.urlopen(site.address, timeout=10).read().decode()  # noqa: S310
    os.kill(demo.pid, signal.SIGINT)

    assert submitted > 40
    assert "slip" in page.lower()
    assert demo.wait(timeout=20) == 0
    assert processes.is_free("127.0.0.1", site.port)


def test_starting_again_duplicates_nothing(site):
    os.kill(start(site).pid, signal.SIGTERM)
    site.started[-1].wait(timeout=20)
    groups = site.ask("SELECT count(*) FROM results_group")
    (site.folder / "output.txt").write_text("")

    os.kill(start(site).pid, signal.SIGTERM)
    site.started[-1].wait(timeout=20)

    assert site.ask("SELECT count(*) FROM results_group") == groups == 72
    assert "Found the invented course" in (site.folder / "output.txt").read_text()


def test_a_port_in_use_is_named_with_what_to_do(site):
    site.start([sys.executable, "-m", "http.server", str(site.port)])
    wait_for(
        lambda: processes.answers("127.0.0.1", site.port), within_s=10, what="server"
    )

    demo = site.start([sys.executable, "manage.py", "demo", "--port", str(site.port)])

    assert demo.wait(timeout=30) == 1
    assert "make demo PORT=" in (site.folder / "output.txt").read_text()
