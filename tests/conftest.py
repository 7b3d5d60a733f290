"""What all tests share: no test is skipped unseen, and each counts on its own."""

import os

import hypothesis
import pytest
from django.db import connections

from labsite.catalogues import Catalogues


def pytest_configure():
    """Test the words as they stand, not as they were compiled some time ago."""
    Catalogues().compile_stale()


# How long an example takes says more of the machine than of the code.
hypothesis.settings.register_profile("unhurried", deadline=None)
hypothesis.settings.load_profile("unhurried")

# Set where every server and the browser are to be there: a skip is a failure.
ALL_TESTS = os.environ.get("ALL_TESTS", "").lower() in {"1", "true", "yes", "on"}


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    report = yield
    if ALL_TESTS and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"Skipped although ALL_TESTS is set: {report.longrepr}"
    return report


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings_parallel_suffix, tmp_path_factory
):
    """Keep SQLite's tables in a file, as a site does.

    In memory all threads would share one connection: a page that asks for something
    while a test looks would meet locked tables instead of waiting its turn.
    """
    database = connections["default"]
    if database.vendor == "sqlite":
        folder = tmp_path_factory.mktemp("database")
        database.settings_dict["TEST"]["NAME"] = str(folder / "test.sqlite3")
        # No test survives a power failure.
        database.settings_dict["OPTIONS"]["init_command"] += "PRAGMA synchronous=OFF;"


@pytest.fixture(autouse=True)
def _own_claims(settings, tmp_path_factory):
    """No test finds what another one's workers left, nor a site's beside it."""
    settings.CLAIMS_FOLDER = tmp_path_factory.getbasetemp() / "claims"


@pytest.fixture(autouse=True)
def _own_counts(settings, request):
    """Attempts to sign in are counted in the cache; every test starts at none."""
    settings.CACHES = {
        "default": {
            "BACKEND": "django.core.cache.backends.locmem.LocMemCache",
            "LOCATION": request.node.nodeid,
        }
    }
