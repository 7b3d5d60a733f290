"""No file that leaves the site holds a cell that a spreadsheet would run.

Files are whatever an address hands over as an attachment: a new one joins by itself.
"""

import csv
import io
from zipfile import ZipFile

import pytest
from django.core.management import call_command
from django.db.models import F, Value
from django.db.models.functions import Concat
from openpyxl import load_workbook

from api.urls import urlpatterns
from results import models
from results.exports.cells import harmless
from results.rosters import join_group
from tests import factories
from tests.api.conftest import Program
from tests.frontend.graded import accept_all
from tests.frontend.walls import ROUTES, filled, make_site, signed_in

pytestmark = pytest.mark.django_db
# What makes a cell a formula, for one spreadsheet or another; blanks are passed over.
STARTS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
# Free texts that people type, or that come in files.
TYPED = {
    models.Course: ["title", "term", "college"],
    models.Section: ["code", "title"],
    models.Group: ["code"],
    models.Station: ["code", "place", "note"],
    models.Lot: ["code"],
    models.Vial: ["code"],
    models.Student: ["name"],
    models.Reading: ["tube"],
    models.Grade: ["comment", "override_reason"],
}


@pytest.fixture
def site(client):
    """A course in which every text begins as a formula does."""
    bench = make_site()
    join_group(bench.group, ["Ivo Marsh", "Ida Brook"], since=factories.NOW)
    signed_in(client, "ada")
    accept_all(client, bench.section)
    for model, fields in TYPED.items():
        known = {one.name for one in model._meta.get_fields()}
        changes = {
            name: Concat(Value("=1+"), F(name)) for name in fields if name in known
        }
        assert model.objects.exists(), model
        model.objects.update(**changes)
    return bench


def texts(name, content):
    """Yield every cell of a file, or every cell of what it holds."""
    if content[:4] == b"PK\x03\x04" and b"xl/workbook.xml" in content:
        for row in load_workbook(io.BytesIO(content))["grades"].iter_rows():
            yield from (
                f"={one.value}" if one.data_type == "f" else one.value for one in row
            )
    elif content[:4] == b"PK\x03\x04":
        with ZipFile(io.BytesIO(content)) as archive:
            for inner in archive.namelist():
                if inner.endswith(".csv"):
                    yield from texts(inner, archive.read(inner))
    else:
        for row in csv.reader(io.StringIO(content.decode())):
            yield from row


def runs(cell):
    """Whether a spreadsheet would run a cell; numbers below nothing are numbers."""
    if not isinstance(cell, str) or not cell.strip().startswith(STARTS):
        return False
    try:
        float(cell)
    except ValueError:
        return True
    return False


def files(client, site):
    """Yield every file that the pages and the API hand over to a coordinator."""
    token = Program().as_staff("ada")._credentials["HTTP_AUTHORIZATION"]
    asked = [filled(route, site) for _, route in ROUTES]
    asked += [filled(f"api/v1/{one.pattern}", site) for one in urlpatterns[:-1]]
    for address in [*asked, *(f"{one}?names=yes" for one in asked if "package" in one)]:
        answer = client.get(address, headers={"Authorization": token})
        content = b"".join(answer) if answer.streaming else answer.content
        kind = answer.headers.get("Content-Type", "")
        if kind.startswith(("text/csv", "application/zip")) or "spreadsheet" in kind:
            yield address, content


def test_no_cell_of_any_file_is_run(client, site):
    found = dict(files(client, site))

    wrong = [
        (address, cell)
        for address, content in found.items()
        for cell in texts(address, content)
        if runs(cell)
    ]

    assert wrong == []
    assert {address.rpartition(".")[2].partition("?")[0] for address in found} >= {
        "csv",
        "xlsx",
        "zip",
    }
    assert any("'=1+" in str(c) for f in found.values() for c in texts("", f))


def test_what_a_command_writes_runs_nothing_either(site, capsys):
    call_command("export_answers", "IRON-1")

    rows = list(csv.reader(io.StringIO(capsys.readouterr().out)))
    assert not [cell for row in rows for cell in row if runs(cell)]
    assert any("'=1+" in cell for row in rows for cell in row)


def test_what_a_group_takes_away_is_no_table(client, site):
    signed_in(client, "group")

    answer = client.get("/bench/own-data/")

    # JSON, which no spreadsheet opens as cells by itself.
    assert answer.headers["Content-Type"] == "application/json"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


@pytest.mark.parametrize("start", [*STARTS, " =", "\t=", "\r=", "\n=", "\u00a0="])
def test_every_beginning_of_a_formula_is_made_harmless(start):
    assert harmless(f"{start}1+1") == f"'{start}1+1"


@pytest.mark.parametrize("text", ["", " ", "12", "A1", "'=1", "a=b", "Ö"])
def test_other_texts_leave_as_they_are(text):
    assert harmless(text) == text
