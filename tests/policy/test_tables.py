"""Tables from spreadsheets of any country, and where each problem stands."""

import pytest

from results.policy.tables import read_table

REQUIRED, KNOWN = ("tube", "percent_T"), ("note",)


def read(text, encoding="utf-8"):
    return read_table(text.encode(encoding), required=REQUIRED, known=KNOWN)


@pytest.mark.parametrize(
    "text",
    [
        "tube,percent_T\n1,43.5\n",
        "tube;percent_T\r\n1;43.5\r\n",
        "tube\tpercent_T\n1\t43.5",
    ],
)
def test_cells_may_be_parted_by_comma_semicolon_or_tab(text):
    (row,) = read(text).rows

    assert (row.number, row.cells) == (2, {"tube": "1", "percent_T": "43.5"})


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
def test_letters_survive_the_usual_encodings(encoding):
    (row,) = read("tube,percent_T,note\n1,43.5,Müller\n", encoding).rows

    assert row.get("note") == "Müller"


def test_a_row_with_too_many_cells_is_named_and_the_others_read():
    table = read("tube,percent_T\n1,43,5\n2,50\n")

    assert [row.number for row in table.rows] == [3]
    assert str(table.problems[0]).startswith("row 2: The row has 3 cells, the header 2")


def test_empty_rows_are_passed_over():
    table = read("tube,percent_T\n\n,\n1,43.5\n")

    assert len(table.rows) == 1
    assert not table.problems


@pytest.mark.parametrize(
    ("header", "message"),
    [
        ("tube,note", "column percent_T is missing"),
        ("tube,percent_T,percent_t", "“percent_t” is not known"),
        ("tube,percent_T,tube", "tube is there twice"),
    ],
)
def test_a_header_that_cannot_be_used_is_refused(header, message):
    (problem,) = read(f"{header}\n1,2,3\n").problems

    assert problem.row == 1
    assert message in problem.message


@pytest.mark.parametrize("text", ["", "tube,percent_T\n", 'tube,percent_T\n"1,2\n'])
def test_a_table_without_rows_says_so(text):
    table = read(text)

    assert table.problems
    assert not table.rows


def test_a_file_far_too_large_is_refused_unread():
    assert "larger than" in read("x" * (6 * 1024 * 1024)).problems[0].message
