"""A site with a class in it, servers of its own, and slips for the phones."""

import contextlib
import json

from tests.factories import perfect_readings, protocol_document
from tests.faults.parts import parts_of
from tests.faults.servers import OwnPostgres, OwnRedis
from tests.processes.site import Site

PHONES = 6
# A third of what a site has without a setting.
LEASE_S = 10
CLASS = 300
_ISSUE = """
from django.utils import timezone
from results.models import Group
from results.rosters import issue_slip
for group in Group.objects.order_by("pk")[:{phones}]:
    print("slip", group.code, issue_slip(group.pk, now=timezone.now()))
"""


@contextlib.contextmanager
def site_with_parts(database_kind, folder, *, class_of=CLASS, database_folder=None):
    """Yield a site, its parts and slips; nothing of it is left running."""
    redis = OwnRedis(folder)
    postgres = OwnPostgres(database_folder) if database_kind == "postgres" else None
    site = None
    try:
        if postgres is not None:
            postgres.create()
        file = (database_folder or folder) / "site.sqlite3"
        site = Site(
            folder, postgres.url if postgres else f"sqlite:///{file}", redis.url
        )
        site.environment["CLAIM_LEASE_SECONDS"] = str(LEASE_S)
        prepare(site, class_of=class_of)
        yield site, parts_of(site, redis, postgres), slips_of(site)
    finally:
        if site is not None:
            site.stop_all()
        redis.kill()
        if postgres is not None:
            postgres.remove()


def prepare(site, *, class_of):
    """Make a course and a class with one submission each, still to be computed."""
    protocol, table = site.folder / "protocol.json", site.folder / "class.csv"
    protocol.write_text(json.dumps(protocol_document()))
    table.write_text("\n".join(_table(class_of)))
    site.manage_all(
        ["migrate", "--verbosity=0"],
        ["make_course", "iron"],
        ["import_protocol", "iron", protocol],
        ["import_readings", "iron", table, "--create"],
    )


def _table(groups):
    yield "section,group,station,standard_mass_g,unknown_mass_g,tube,percent_T"
    for group in range(groups):
        readings = perfect_readings(iron_percent=9 + 6 * group / groups)
        for tube, percent_T in readings.items():
            yield f"A1,g{group},S1,0.21,0.25,{tube},{percent_T}"


def slips_of(site, phones=PHONES):
    """Give the first groups slips: codes by the group's own code."""
    printed = site.manage("shell", "--no-imports", "-c", _ISSUE.format(phones=phones))
    lines = [line.split() for line in printed.splitlines() if line.startswith("slip ")]
    return {group: code for _, group, code in lines}
