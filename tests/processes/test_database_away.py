"""A database that goes away and comes back, under pages that are being asked for."""

import http.client
from contextlib import closing, contextmanager
from urllib.parse import urlsplit

import psycopg
import pytest

from tests.processes.site import POSTGRES

pytestmark = pytest.mark.timeout(120)


@contextmanager
def away(site):
    """Let nobody connect to a site's database, and end who is connected."""
    name = urlsplit(site.database_url).path.removeprefix("/")
    with psycopg.connect(POSTGRES, autocommit=True) as keeper:
        keeper.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS false")
        keeper.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s",
            [name],
        )
        yield
        keeper.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS true")


def shown(site):
    """What a phone is shown that has been signed in: status, wait and page."""
    line = http.client.HTTPConnection("127.0.0.1", site.port, timeout=30)
    headers = {"Cookie": f"sessionid={'x' * 32}", "Accept-Language": "de"}
    line.request("GET", "/bench/", headers=headers)
    with closing(line), line.getresponse() as answer:
        return answer.status, answer.getheader("Retry-After"), answer.read().decode()


def test_pages_ask_to_come_back_until_the_database_is_there_again(make_site):
    site = make_site("postgres")
    site.start_web()
    before = [shown(site) for _ in range(8)]

    with away(site):
        meanwhile = [shown(site) for _ in range(8)]
    after = [shown(site) for _ in range(8)]

    assert {status for status, _, _ in before + after} == {302}
    assert {(status, wait) for status, wait, _ in meanwhile} == {(503, "5")}
    assert all("gleich noch einmal" in page for _, _, page in meanwhile)
