"""Bodies that no browser and no careful program would send."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count

from tests.spoilt import TIMES

FORM = "application/x-www-form-urlencoded"
JSON = "application/json"
PARTS = "multipart/form-data; boundary=edge"
MOST_BYTES = 10 * 2**20


@dataclass(frozen=True)
class Body:
    """What is sent, and as what."""

    name: str
    content: bytes
    media_type: str


def part(content=b"x", *, name="table", filename='; filename="a.csv"', more=""):
    head = f'Content-Disposition: form-data; name="{name}"{filename}\r\n{more}\r\n'
    return b"--edge\r\n" + head.encode("utf-8", "surrogatepass") + content + b"\r\n"


END = b"--edge--\r\n"
DEEP = 100_000
BODIES = [
    Body("parts cut off", part()[:-20], PARTS),
    Body("parts without an end", part(), PARTS),
    Body("another boundary", part() + END, PARTS.replace("edge", "other")),
    Body("no boundary", part() + END, "multipart/form-data"),
    Body("an endless boundary", part() + END, PARTS + "x" * 5000),
    Body(
        "a boundary of no letters", part() + END, "multipart/form-data; boundary=\xe9"
    ),
    Body("an empty file", part(b"") + END, PARTS),
    Body("zeros in a file", part(b"\x00" * 9, name="file") + END, PARTS),
    Body("a zero in a name", part(name="a\x00b", filename="") + END, PARTS),
    Body("zeros in a value", part(b"\x00\x00", name="deed", filename="") + END, PARTS),
    Body("a path for a name", part(filename='; filename="../../x"') + END, PARTS),
    Body(
        "parts that are no base64",
        part(b"!!!", more="Content-Transfer-Encoding: base64\r\n") + END,
        PARTS,
    ),
    Body("a file of 10 MB", part(b"x" * MOST_BYTES) + END, PARTS),
    Body("people of 10 MB", part(b"x" * MOST_BYTES, name="file") + END, PARTS),
    Body("a value of 10 MB", part(b"x" * MOST_BYTES, filename="") + END, PARTS),
    Body("two thousand parts", part(name="a", filename="") * 2000 + END, PARTS),
    Body("two hundred files", part(name="a") * 200 + END, PARTS),
    Body("two thousand fields", b"a=1&" * 2000, FORM),
    Body("a form of 10 MB", b"a=" + b"x" * MOST_BYTES, FORM),
    Body("zeros in a form", b"deed=%00&slip_code=%00&code=%00", FORM),
    Body("halves of letters", b"slip_code=%ED%A0%80&username=%ED%A0%80", FORM),
    Body("no letters", b"slip_code=%FF%FE&%FF=%FF&username=\xff", FORM),
    Body("no such letters", b"slip_code=a", f"{FORM}; charset=klingon"),
    Body("letters of two bytes", "a=b".encode("utf-16"), f"{FORM}; charset=utf-16"),
    Body("numbers without end", b"version=" + b"9" * 5000, FORM),
    Body("lists without end", b"[" * DEEP, JSON),
    Body("lists in lists", b"[" * DEEP + b"]" * DEEP, JSON),
    Body("objects in objects", b'{"a":' * DEEP + b"1" + b"}" * DEEP, JSON),
    Body("a number of 5000 digits", b'{"seen": ' + b"9" * 5000 + b"}", JSON),
    Body("a number that is none", b'{"seen": NaN, "note": -Infinity}', JSON),
    Body("half a letter", b'{"slip_code": "\\ud800", "\\udfff": 1}', JSON),
    Body("an escaped zero", b'{"slip_code": "\\u0000", "username": "\\u0000"}', JSON),
    Body("JSON that is no UTF-8", b'{"slip_code": "\xff"}', JSON),
    Body("JSON of two bytes", '{"a": 1}'.encode("utf-16"), JSON),
    Body("JSON of other letters", b'{"a": 1}', f"{JSON}; charset=klingon"),
    Body("ten MB of JSON", b'{"a": "' + b"x" * MOST_BYTES + b'"}', JSON),
    Body("no object", b'"x"', JSON),
    Body("nothing", b"", JSON),
    Body("nothing at all", b"", ""),
    Body("another type", b"<a/>", "application/xml"),
    Body("a type that is none", b"a=b", "nonsense"),
    Body("a type of signs", b"a=b", "\x7f/\x00;;=;"),
]

# Each address gets so many of them, the next one others; all in a long run.
_EVERY = max(1, 5 - TIMES)


def in_turns() -> Iterator[list[Body]]:
    """Yield what the first address is sent, then the next one, without end."""
    for turn in count():
        yield BODIES[turn % _EVERY :: _EVERY]
