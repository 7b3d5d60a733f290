"""Files and texts as no careful person would send them, and how many of them.

``EXAMPLES_TIMES=50`` makes a long run, each time with others.
"""

import os

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

TIMES = int(os.environ.get("EXAMPLES_TIMES", "1"))
IS_LONG = TIMES > 1


def examples(number):
    """Settings of a test that tries so many, the same ones in every short run."""
    return settings(
        max_examples=number * TIMES,
        derandomize=not IS_LONG,
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )


# What makes trouble where somebody forgot about it.
PIECES = [
    b"\x00",
    b"\xff\xfe",
    b"\xed\xa0\x80",
    b'"',
    b"\n",
    b"\r",
    b"\x0b",
    b"\xc2\x85",
    b"\xe2\x80\xa8",
    b",",
    b";",
    b"\t",
    b"-1",
    b"1e308",
    b"1e999",
    b"NaN",
    b"9" * 40,
    b"x" * 300,
    b"=1+1",
    b"{",
    b"[",
    b"null",
    b"\\u0000",
    b"\\ud800",
    b"PK\x03\x04",
    "٣½".encode(),
]


@st.composite
def spoilt(draw, good):
    """Good bytes with a few pieces put in, left out, doubled or overwritten."""
    content = bytearray(good)
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(content)))
        stop = min(len(content), start + draw(st.sampled_from([0, 1, 2, 8, 60])))
        piece = draw(st.sampled_from(PIECES) | st.binary(max_size=4))
        match draw(st.sampled_from(["put", "leave out", "double", "overwrite"])):
            case "put":
                content[start:start] = piece
            case "leave out":
                del content[start:stop]
            case "double":
                content[start:start] = content[start:stop]
            case _:
                content[start : start + len(piece)] = piece
    return bytes(content)


@st.composite
def retyped(draw, rows):
    """A table of good cells, some of them typed as no careful person would."""
    table = [list(row) for row in rows]
    for _ in range(draw(st.integers(1, 2))):
        place = draw(st.integers(0, len(table[0]) - 1))
        typed = draw(
            st.sampled_from(
                ["", "-1", "1e308", "nan", "9" * 400, "x" * 41, "x" * 300, "a\x00b"]
            )
            | st.text(st.characters(exclude_categories=["Cs"]), max_size=6)
        )
        one = draw(st.integers(0, len(table) - 1))
        for row in draw(st.sampled_from([table[1:], table[one : one + 1]])):
            row[place] = typed
    return "\n".join(",".join(row) for row in table).encode()
