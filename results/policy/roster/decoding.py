"""The letters of a file: which encoding it has, and what cannot be one.

A byte order mark decides (Unicode Standard 15.0, section 23.8). Without one: zeros
in every other byte are UTF-16, whatever is sound UTF-8 is that, and the rest is
Windows-1252 unless it has bytes without a meaning there. A file that is UTF-8 but for
some damaged letters is refused, because as Windows-1252 every other name would be
read wrong.
"""

import codecs
import re
from dataclasses import dataclass

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig", "UTF-8"),
    (codecs.BOM_UTF16_LE, "utf-16", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16", "UTF-16"),
)
# How much of a file tells whether its bytes come in pairs.
_LOOKED_AT = 4096
# Signs that steer a machine, but for tabs and ends of lines.
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")


class Undecodable(ValueError):
    """The bytes are no text that could be read; the message says what to do.

    Attributes
    ----------
    line : int
        The line with the first letter that cannot be read, from 1.
    """

    def __init__(self, line: int, message: str) -> None:
        super().__init__(message)
        self.line = line


@dataclass(frozen=True, slots=True)
class Decoded:
    """A text and the name of the encoding that it came in."""

    text: str
    encoding: str


def decode(content: bytes) -> Decoded:
    r"""Return the text of a file.

    Raises
    ------
    Undecodable
        It is in no encoding that is known here, or no text at all.

    Examples
    --------
    >>> decode(b"M\xfcller")
    Decoded(text='Müller', encoding='Windows-1252')
    """
    decoded = _decode(content)
    control = _CONTROL.search(decoded.text)
    if control:
        line = decoded.text.count("\n", 0, control.start()) + 1
        message = "This is not the text of a table. Save the table as CSV (UTF-8)."
        raise Undecodable(line, message)
    return decoded


def _decode(content: bytes) -> Decoded:
    for mark, codec, name in _MARKS:
        if content.startswith(mark):
            return _strictly(content, codec, name)
    paired = _paired(content)
    if paired:
        return _strictly(content, paired, "UTF-16")
    try:
        return Decoded(content.decode("utf-8"), "UTF-8")
    except UnicodeDecodeError as broken:
        if _is_damaged_utf8(content):
            raise _undecodable(content, broken.start, "UTF-8") from broken
    return _strictly(content, "cp1252", "Windows-1252")


def _strictly(content: bytes, codec: str, name: str) -> Decoded:
    try:
        return Decoded(content.decode(codec), name)
    except UnicodeDecodeError as broken:
        raise _undecodable(content, broken.start, name) from broken


def _undecodable(content: bytes, start: int, name: str) -> Undecodable:
    return Undecodable(
        content[:start].count(b"\n") + 1,
        f"A letter here cannot be read as {name}. Open the table where it was made "
        "and save it anew as CSV (UTF-8).",
    )


def _paired(content: bytes) -> str:
    """Return the codec if most letters fill the other byte of a pair with zero."""
    head = content[:_LOOKED_AT]
    half = len(head) // 2
    if half == 0:
        return ""
    if head[1::2].count(0) * 2 > half:
        return "utf-16-le"
    return "utf-16-be" if head[0::2].count(0) * 2 > half else ""


def _is_damaged_utf8(content: bytes) -> bool:
    """Whether more letters beyond ASCII are sound UTF-8 than are not."""
    read = content.decode("utf-8", errors="replace")
    damaged = read.count("�")
    sound = sum(letter > "\x7f" for letter in read) - damaged
    return sound > damaged
