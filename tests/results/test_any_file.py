"""Any bytes given for a file are taken in whole, or refused and leave nothing."""

import json
from functools import partial

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction
from hypothesis import given
from hypothesis import strategies as st

from results import intake, issuing
from results.models import Group, Lot, Section, Station, Student, Vial
from results.policy.access import Actor, Rights
from results.policy.refusals import Refusal
from results.policy.roster.matching import Matching, Outside, propose
from results.policy.roster.reading import read_file
from results.policy.roster.refusals import NotARoster
from results.rosters import adopt_protocol, enrol_people
from results.summaries.preparing.rosters import roster_preview
from tests.factories import (
    NOW,
    make_bench,
    perfect_readings,
    protocol_document,
)
from tests.policy.roster.bundles import bundle
from tests.spoilt import examples, retyped, spoilt
from tests.stored import everything

pytestmark = pytest.mark.django_db
# The longest code of a section, a group, a station, a lot or a vial.
LONGEST_CODE = 40
MANY = examples(150)
HEAD = (
    "section,group,station,vial,standard_mass_g,unknown_mass_g,tube,replicate,"
    "taken_mL,percent_T"
)
READINGS = [
    HEAD.split(","),
    *(
        ["A1", "7", "4", "417", "0.21", "0.25", tube, "1", "", str(value)]
        for tube, value in perfect_readings().items()
    ),
]
VIALS = [
    ["vial", "lot", "iron_percent", "u_iron_percent"],
    ["V1", "L8", "12.0", "0.04"],
    ["V2", "L9", "12.5", "0.04"],
]
RESULTS = [["vial", "iron_percent"], ["417", "12.04"], ["", "12.1"], ["", "11.98"]]
PEOPLE = [
    ["name", "number", "section", "group"],
    ["Ivo Marsh", "11", "A1", "1"],
    ["Ida Brook", "12", "B2", "2"],
]


def as_csv(rows):
    return "\n".join(",".join(row) for row in rows).encode()


def columns_retyped(rows):
    """Tables of which one column is too long, holds a zero, or says nothing."""
    for place, _ in enumerate(rows[0]):
        for typed in ("x" * (LONGEST_CODE + 1), "a\x00b", ""):
            yield as_csv(
                [rows[0], *([*r[:place], typed, *r[place + 1 :]] for r in rows[1:])]
            )


def files(rows):
    """Tables with odd cells, tables with odd bytes, and any bytes at all."""
    return retyped(rows) | spoilt(as_csv(rows)) | st.binary(max_size=80)


@pytest.fixture
def course():
    return make_bench().course


@pytest.fixture
def keeper(course):
    return Actor(0, "command", Rights(coordinated=frozenset({course.pk})))


class Undone:
    """Runs something, keeps what became of it, and takes it all back."""

    def __init__(self):
        self.before = everything()

    def by(self, act):
        """See that what was taken in is sound, and else that it left nothing."""
        with transaction.atomic():
            taken = act()
            if taken:
                assert_storable()
            else:
                assert everything() == self.before
            transaction.set_rollback(True)
        return taken


def assert_storable():
    """Every engine could hold the codes and names: SQLite takes any."""
    for model in (Section, Group, Station, Lot, Vial):
        codes = list(model.objects.values_list("code", flat=True))
        assert all(0 < len(code) <= LONGEST_CODE for code in codes)
        assert not any("\x00" in code for code in codes)
    for name in Student.objects.values_list("name", flat=True):
        assert "\x00" not in name


def test_any_table_of_readings(course):
    undone = Undone()

    def imported(text, *, create=True, keep_good=False):
        return intake.import_readings(
            course_code=course.code,
            text=text,
            create=create,
            keep_good=keep_good,
            now=NOW,
        ).imported

    assert undone.by(lambda: imported(as_csv(READINGS)))

    @MANY
    @given(text=files(READINGS), create=st.booleans(), keep_good=st.booleans())
    def holds(text, create, keep_good):
        undone.by(lambda: imported(text, create=create, keep_good=keep_good))

    holds()
    for table in columns_retyped(READINGS):
        undone.by(partial(imported, table))


def test_any_table_of_vials(course):
    undone = Undone()

    def imported(text, *, revalue=True):
        report = issuing.import_vials(
            course_code=course.code, text=text, now=NOW, revalue=revalue
        )
        return not report.problems

    assert undone.by(lambda: imported(as_csv(VIALS)))

    @MANY
    @given(text=files(VIALS), revalue=st.booleans())
    def holds(text, revalue):
        undone.by(lambda: imported(text, revalue=revalue))

    holds()
    for table in columns_retyped(VIALS):
        undone.by(partial(imported, table))


def commanded(*arguments, **options):
    """Whether a command did what it was asked; a refusal of its own is no."""
    try:
        call_command(*arguments, **options)
    except CommandError:
        return False
    return True


def test_any_table_of_an_assay(course, tmp_path):
    undone, file = Undone(), tmp_path / "results.csv"
    file.write_bytes(as_csv(RESULTS))
    good = ("assay_lot", course.code, "L1", str(file), "--u-shared-percent", "0.1")
    moments = st.sampled_from(
        ["", "soon", "0001-01-01T00:00+14:00", "9999-12-31T23:59-12:00"]
    )

    @MANY
    @given(text=files(RESULTS), made_at=moments, note=st.text(max_size=3))
    def holds(text, made_at, note):
        file.write_bytes(text)
        undone.by(lambda: commanded(*good, made_at=made_at, note=note))

    assert commanded(*good)
    undone.before = everything()
    holds()


def test_any_protocol(course, tmp_path):
    undone, file = Undone(), tmp_path / "protocol.json"
    content = json.dumps(protocol_document(), indent=1).encode()

    def taken(text):
        file.write_bytes(text)
        return commanded("import_protocol", course.code, str(file))

    assert undone.by(lambda: taken(content.replace(b"510", b"512")))

    @MANY
    @given(text=spoilt(content) | st.binary(max_size=80))
    def holds(text):
        undone.by(lambda: taken(text))

    holds()
    undone.by(lambda: taken(b'{"a":' * 100_000))


ODD = (
    st.sampled_from(
        [10**400, -1, 0, 1e308, float("inf"), float("nan"), "\x00", "\ud800", "x" * 400]
    )
    | st.none()
    | st.booleans()
    | st.lists(st.none(), max_size=1)
    | st.just({})
)


@st.composite
def odd_documents(draw):
    """The good protocol with something odd somewhere in it."""
    document = json.loads(json.dumps(protocol_document()))
    document["limits"] = {"percent_T": [1, 100]}
    here = document
    while True:
        keys = list(here) if isinstance(here, dict) else list(range(len(here)))
        key = draw(st.sampled_from(keys))
        inner = here[key]
        if not isinstance(inner, dict | list) or not inner or draw(st.booleans()):
            here[key] = draw(ODD)
            return document
        here = inner


def test_any_odd_value_in_a_protocol(course):
    undone = Undone()

    def adopted(document):
        try:
            adopt_protocol(course.code, document, title="", now=NOW)
        except Refusal:
            return False
        return True

    assert undone.by(lambda: adopted(protocol_document(develop_min=12)))

    @examples(200)
    @given(document=odd_documents())
    def holds(document):
        undone.by(lambda: adopted(document))

    holds()


def test_any_roster(course, keeper):
    undone = Undone()

    def enrolled(content, outside):
        try:
            grid = read_file(content, today=NOW.date())
            columns = propose(grid.head)
            matching = Matching(columns=columns, outside=outside, parts=None)
            seen = roster_preview(course.code, grid, matching, rights=keeper.rights)
            enrol_people(
                course.code, grid, matching, seen=seen.mark, actor=keeper, now=NOW
            )
        except (Refusal, NotARoster):
            return False
        return True

    assert undone.by(lambda: enrolled(as_csv(PEOPLE), Outside.MAKE))
    assert undone.by(lambda: enrolled(bundle(), Outside.MAKE))

    @examples(100)
    @given(
        content=files(PEOPLE) | spoilt(bundle()),
        outside=st.sampled_from(list(Outside)),
    )
    def holds(content, outside):
        undone.by(lambda: enrolled(content, outside))

    holds()
