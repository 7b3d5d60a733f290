"""No file that leaves the site holds a cell that a spreadsheet would run.

Files are whatever an address hands over as an attachment: a new one joins by itself.
"""

import csv
import io
import re
import string
from zipfile import ZipFile

import pytest
from django.core.management import call_command
from django.db.models import F, Value
from django.db.models.functions import Concat
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook

from api.urls import urlpatterns
from results import models
from results.exports.cells import csv_text, harmless
from results.rosters import join_group
from tests import factories
from tests.api.conftest import Program
from tests.frontend.graded import accept_all
from tests.frontend.walls import ROUTES, filled, make_site, signed_in

pytestmark = pytest.mark.django_db
# What makes a cell a formula, for one spreadsheet or another; blanks are passed over.
STARTS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
BLANKS = f'{string.whitespace}"\0\u00a0\u200b\u2060\u3000\ufeff'
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


@pytest.fixture(params=["=1+", "x;=1+"], ids=["start", "part"])
def site(client, request):
    """A course in which every text, or a part of it, begins as a formula does."""
    bench = make_site()
    join_group(bench.group, ["Ivo Marsh", "Ida Brook"], since=factories.NOW)
    signed_in(client, "ada")
    accept_all(client, bench.section)
    for model, fields in TYPED.items():
        known = {one.name for one in model._meta.get_fields()}
        changes = {
            name: Concat(Value(request.param), F(name))
            for name in fields
            if name in known
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
    """Whether a spreadsheet would run a cell, or what it may split off from it."""
    return isinstance(cell, str) and any(map(_runs, re.split(r"[;\t\r\n]", cell)))


def _runs(cell):
    if not cell.strip(BLANKS).startswith(STARTS):
        return False
    # Numbers below nothing are numbers.
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


@pytest.mark.parametrize(
    "blank", ["", " ", "\u00a0", "\u3000", "\ufeff", "\u200b", '"']
)
@pytest.mark.parametrize("start", STARTS)
def test_every_beginning_of_a_formula_is_made_harmless(start, blank):
    assert harmless(f"{blank}{start}1+1") == f"'{blank}{start}1+1"


@pytest.mark.parametrize("parting", [";", "\t", "\r", "\n", "\r\n", "; ", ";;"])
def test_a_formula_behind_what_parts_cells_is_made_harmless(parting):
    made = harmless(f"U1{parting}=1+1")

    assert made.replace("'", "") == f"U1{parting}=1+1"
    assert not runs(made)


@pytest.mark.parametrize(
    "text", ["", " ", "12", "A1", "'=1", "a=b", "Ö", "a; b", "a, -1"]
)
def test_other_texts_leave_as_they_are(text):
    assert harmless(text) == text


TEXTS = st.text(alphabet=[*STARTS, *BLANKS, *";,'1x|\\"], max_size=12)


@given(text=TEXTS)
def test_what_is_harmless_is_so_however_it_is_split_and_holds_all_of_the_text(text):
    made = harmless(text)

    assert not any(
        piece.strip(BLANKS).startswith(STARTS) for piece in re.split(r"[;\t\r\n]", made)
    )
    assert made.replace("'", "") == text.replace("'", "")
    assert harmless(made) == made


@given(rows=st.lists(st.lists(TEXTS, min_size=3, max_size=3), min_size=1, max_size=4))
def test_a_file_runs_nothing_by_whatever_its_cells_are_parted(rows):
    made = csv_text(["a", "b", "c"], [list(map(harmless, row)) for row in rows])

    for delimiter in ",;\t":
        for row in csv.reader(io.StringIO(made, newline=""), delimiter=delimiter):
            assert not [
                cell for cell in row if cell.strip(BLANKS).startswith(STARTS)
            ], delimiter
