"""Files of people: letters, cells and rows, whatever program wrote them.

Encodings are told by the marks of the Unicode Standard (15.0, section 23.8); cells as
RFC 4180 and its usual variants have them.
"""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from results.policy.roster.decoding import Undecodable, decode
from results.policy.roster.entries import read_entries, tidy
from results.policy.roster.grid import LARGEST_MB, Grid, read_grid
from results.policy.roster.matching import Matching, Meaning
from results.policy.roster.refusals import NotARoster

COLUMNS = Matching(columns={Meaning.NAME: 0, Meaning.NUMBER: 1, Meaning.SECTION: 2})
# Everything but signs that steer a machine and halves of pairs, which no file has.
TEXTS = st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=60)


def problems_of(content):
    with pytest.raises(NotARoster) as refused:
        read_grid(content)
    return refused.value.problems


@pytest.mark.parametrize(
    ("codec", "said"),
    [
        ("utf-8", "UTF-8"),
        ("utf-8-sig", "UTF-8"),
        ("utf-16", "UTF-16"),
        ("utf-16-le", "UTF-16"),
        ("utf-16-be", "UTF-16"),
        ("cp1252", "Windows-1252"),
    ],
)
def test_the_encoding_is_told_and_said(codec, said):
    grid = read_grid("name;section\r\nJördis Müller;A1\r\n".encode(codec))

    assert grid.rows[0].cells == ("Jördis Müller", "A1")
    assert grid.source == f"{said}, cells parted by semicolon"


@pytest.mark.parametrize(
    ("content", "row"),
    [
        ("name,section\nMüller,A1\nGärtner,A1\n".encode() + b"Sch\xfcz,A1\n", 4),
        (b"name,section\nM\x81ller,A1\n", 2),
        (b"name,section\nIvo,A1\nB\x00n,A1\n", 3),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", 2),
        (b"\xff\xfen\x00a\x00m", 1),
    ],
    ids=["damaged UTF-8", "no letter of Windows-1252", "a zero", "a picture", "half"],
)
def test_what_cannot_be_read_is_refused_with_its_line(content, row):
    (problem,) = problems_of(content)

    assert problem.row == row
    assert "CSV (UTF-8)" in problem.message


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_cells_may_be_parted_in_three_ways(separator):
    grid = read_grid(separator.join(["name", "number"]).encode() + b"\nIvo\t;,")

    assert grid.head == ("name", "number")


def test_a_separator_within_quotes_of_the_head_does_not_count():
    grid = read_grid(b'"name, as, printed";section\nIvo;A1\n')

    assert grid.head == ("name, as, printed", "section")


def test_rows_are_numbered_as_a_spreadsheet_does_with_blank_ones_and_line_breaks():
    grid = read_grid(b'\n,\nname,section\n\n"Ivo\nMarsh",A1\n,\n"Ida",A1\n')

    assert [(row.number, row.cells[0]) for row in grid.rows] == [
        (5, "Ivo\nMarsh"),
        (7, "Ida"),
    ]


def test_a_row_with_other_cells_is_named_and_the_others_are_read():
    grid = read_grid(b"name,section\nMarsh, Ivo,A1\nIda,A1\nEva,A1,,\n")

    assert [row.cells[0] for row in grid.rows] == ["Ida", "Eva"]
    assert str(grid.problems[0]).startswith("row 2: The row has 3 cells, the head 2.")


def test_a_quotation_mark_that_is_never_closed_is_refused_where_it_stands():
    (problem,) = problems_of(b'name,section\nIda,A1\n"Ivo,A1\nEva,A1\n')

    assert problem.row == 3
    assert "quotation mark" in problem.message


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b" \n;;\n", "empty"),
        (b"name,section\n", "no rows"),
        (b"name\n" + b"x" * (LARGEST_MB * 2**20), "larger than"),
        (b"name," * 80 + b"\n" + b"Ivo," * 80, "columns"),
    ],
    ids=["nothing", "blank", "head only", "too large", "too wide"],
)
def test_a_file_without_people_says_so(content, words):
    assert words in problems_of(content)[0].message


@given(
    names=st.lists(TEXTS, min_size=1, max_size=5),
    codec=st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]),
    separator=st.sampled_from(",;\t"),
)
def test_any_text_in_a_name_comes_through_unharmed(names, codec, separator):
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, quoting=csv.QUOTE_ALL)
    writer.writerow(["name", "number", "section"])
    writer.writerows([name, n, "A1"] for n, name in enumerate(names))

    grid = read_grid(out.getvalue().encode(codec))
    entries = read_entries(grid, COLUMNS, sections=["A1"])

    read = [one.name for one in entries.people]
    assert read == [tidy(name) for name in names if tidy(name)]
    assert len(entries.problems) == len(names) - len(read)


@given(st.binary(max_size=400))
def test_any_bytes_are_a_table_or_a_refusal(content):
    try:
        grid = read_grid(content)
    except NotARoster:
        return
    assert grid.rows or grid.problems


@given(st.text(st.characters(codec="cp1252", exclude_categories=["Cc"]), min_size=1))
def test_letters_of_windows_1252_are_read_as_such_or_as_sound_utf_8(text):
    content = text.encode("cp1252")
    try:
        sound = content.decode("utf-8")
    except UnicodeDecodeError:
        sound = text
    try:
        read = decode(content)
    except Undecodable:
        return
    assert read.text in {text, sound}


def test_a_grid_is_the_same_after_it_travelled_in_a_form():
    grid = read_grid("name,section\nJördis,A1\nIvo,A1,B\n".encode())

    assert Grid.from_plain(grid.to_plain()) == grid
