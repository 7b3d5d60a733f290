"""Sites of real processes, on each database and broker."""

import json

import pytest

from tests.factories import perfect_readings, protocol_document
from tests.processes.site import Site, broker, database


@pytest.fixture
def make_site(tmp_path):
    """Build a migrated site with a course; everything is stopped at the end."""
    with_databases = []

    def build(database_kind="sqlite", broker_kind="folder", *, broker_url=None):
        opened = database(database_kind, tmp_path)
        url = opened.__enter__()
        with_databases.append(opened)
        site = Site(tmp_path, url, broker_url or broker(broker_kind, tmp_path))
        sites.append(site)
        protocol = tmp_path / "protocol.json"
        protocol.write_text(json.dumps(protocol_document()))
        site.manage_all(
            ["migrate", "--verbosity=0"],
            ["make_course", "iron"],
            ["import_protocol", "iron", protocol],
        )
        return site

    sites = []
    yield build
    for site in sites:
        site.stop_all()
    for opened in with_databases:
        opened.__exit__(None, None, None)


@pytest.fixture
def table(tmp_path):
    """Write a table of readings of some groups."""

    def write(groups, name="readings.csv"):
        header = "section,group,station,standard_mass_g,unknown_mass_g,tube,percent_T"
        rows = [
            f"A1,{group},S1,0.21,0.25,{tube},{percent_T}"
            for group in groups
            for tube, percent_T in perfect_readings().items()
        ]
        path = tmp_path / name
        path.write_text("\n".join([header, *rows]))
        return path

    return write
