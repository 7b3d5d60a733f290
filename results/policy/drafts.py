"""Sheets that several phones type on: whose edit of a box stands.

A box is named by what it means, not by where it stands on a page, so that phones
with different pages agree: ``standard_mass_g``, ``value/U1/1`` (tube and replicate),
``taken/3``, ``left_out/2``.  Other names are kept as they are.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from results.policy.numbers import NotANumber, read_number
from results.policy.refusals import Refusal
from results.policy.typed import RawSubmission, Typed

#: Edits in one message, boxes of a group, edits remembered of a box.
MOST_EDITS, MOST_FIELDS, MOST_REMEMBERED = 200, 400, 10
LONGEST_FIELD, LONGEST_VALUE = 80, 200
#: Within this time one phone's edit replaces its own last one: somebody is typing.
STILL_TYPING = timedelta(seconds=20)
#: An edit that a phone calls older than this has a clock that cannot be believed.
_OLDEST = timedelta(days=60)
_LONGEST_PHONE = 32
_PHONE = re.compile(r"[0-9a-f]{8,32}")
# By a clock of the phone, ms: within what its numbers hold exactly.
_TIME = re.compile(r"[0-9]{1,15}")


class BadDraft(Refusal):
    """What a phone sent of its sheet is not of the form that the page sends."""

    code = "bad-draft"

    def __init__(self, what: str) -> None:
        super().__init__(f"This phone's sheet could not be read: {what}.")


@dataclass(frozen=True, slots=True)
class Edit:
    """One change of one box.

    Attributes
    ----------
    edited_at : datetime
        By the site's clock; see `by_the_site`.
    stamp : int
        By the phone's own clock, ms; with the phone it tells a repeated edit.
    """

    field: str
    value: str
    edited_at: datetime
    phone: str
    stamp: int

    @property
    def rank(self) -> tuple[datetime, str, int]:
        """What decides between edits: the later stands, whoever asks, in any order."""
        return (self.edited_at, self.phone, self.stamp)


@dataclass(frozen=True, slots=True)
class Pressed:
    """The phone on which Send was pressed, and when by its own clock, ms."""

    phone: str
    at_ms: int

    def covers(self, phone: str, stamp: int) -> bool:
        """Whether the sheet was sent with an edit, or with what was typed over it."""
        return phone == self.phone and stamp <= self.at_ms


def read_pressed(phone: str, at_ms: str) -> Pressed | None:
    """Read which phone sends; None if it does not say so, as without scripts.

    Examples
    --------
    >>> read_pressed("ab12cd34", "1741096800000")
    Pressed(phone='ab12cd34', at_ms=1741096800000)
    >>> read_pressed("", "")
    """
    if not _PHONE.fullmatch(phone) or not _TIME.fullmatch(at_ms):
        return None
    return Pressed(phone, int(at_ms))


def by_the_site(stamp_ms: int, sent_ms: int, received_at: datetime) -> datetime:
    """Return when an edit was made, by the site's clock.

    As long before it was received as the phone says that it lies before its sending:
    a clock that is fast or slow by any amount does not matter.  No edit comes from
    the future, so no clock can win for ever.

    Parameters
    ----------
    stamp_ms, sent_ms : int
        By the phone's clock, ms.

    Examples
    --------
    >>> by_the_site(1_000, 61_000, datetime(2025, 3, 4, 14, 1)).minute
    0
    """
    age_ms = min(max(sent_ms - stamp_ms, 0), int(_OLDEST / timedelta(milliseconds=1)))
    return received_at - timedelta(milliseconds=age_ms)


def read_edits(document: object, received_at: datetime) -> tuple[Edit, ...]:
    """Read the edits that a phone sends.

    Parameters
    ----------
    document : object
        ``{"phone", "sent_ms", "edits": [{"field", "value", "stamp_ms"}]}``.

    Raises
    ------
    BadDraft
        It is not of that form, or too large.
    """
    document = _object(document, "it is no object")
    unnamed = "the phone has no name"
    phone = _text(document.get("phone"), _LONGEST_PHONE, unnamed)
    few = f"give a list of at most {MOST_EDITS} edits"
    if not _PHONE.fullmatch(phone):
        raise BadDraft(unnamed)
    edits = document.get("edits")
    if not isinstance(edits, list) or len(edits) > MOST_EDITS:
        raise BadDraft(few)
    sent_ms = _time(document.get("sent_ms"), "the time of sending is missing")
    return tuple(_edit(one, phone, sent_ms, received_at) for one in edits)


def _edit(one: object, phone: str, sent_ms: int, received_at: datetime) -> Edit:
    edit = _object(one, "an edit is no object")
    named = f"name each box in at most {LONGEST_FIELD} signs"
    short = f"a box takes at most {LONGEST_VALUE} signs"
    field = _text(edit.get("field"), LONGEST_FIELD, named)
    if not field:
        raise BadDraft(named)
    value = _text(edit.get("value"), LONGEST_VALUE, short)
    stamp = _time(edit.get("stamp_ms"), "an edit has no time")
    return Edit(field, value, by_the_site(stamp, sent_ms, received_at), phone, stamp)


def _object(given: object, otherwise: str) -> Mapping[str, object]:
    if not isinstance(given, Mapping):
        raise BadDraft(otherwise)
    return given


def _text(given: object, longest: int, otherwise: str) -> str:
    """Take a text that every database takes: short, no control signs, no halves."""
    if not isinstance(given, str) or len(given) > longest:
        raise BadDraft(otherwise)
    if any(sign < " " or "\ud800" <= sign <= "\udfff" for sign in given):
        raise BadDraft(otherwise)
    return given


def _time(given: object, otherwise: str) -> int:
    if isinstance(given, bool) or not isinstance(given, int) or abs(given) >= 2**53:
        raise BadDraft(otherwise)
    return given


def merged(known: Iterable[Edit], new: Iterable[Edit]) -> tuple[Edit, ...]:
    """Return what is remembered of one box, the edit that stands first.

    The later edit stands and the earlier ones stay behind it.  Which one stands does
    not depend on the order in which the phones' messages arrive.
    """
    edits = {(edit.phone, edit.stamp): edit for edit in new}
    # A message that came twice keeps its first time of receipt.
    edits |= {(edit.phone, edit.stamp): edit for edit in known}
    latest_first = sorted(edits.values(), key=lambda edit: edit.rank, reverse=True)
    return tuple(_settled(latest_first))[:MOST_REMEMBERED]


def _settled(latest_first: list[Edit]) -> Iterator[Edit]:
    """Leave out what one phone typed on its way to its next edit."""
    after: Edit | None = None
    for edit in latest_first:
        on_its_way = (
            after is not None
            and after.phone == edit.phone
            and after.edited_at - edit.edited_at < STILL_TYPING
        )
        if not on_its_way:
            yield edit
        after = edit


def boxes_of(raw: RawSubmission) -> dict[str, str]:
    """Return what was submitted by the names of its boxes."""
    boxes: dict[str, Typed] = {
        "station": raw.station,
        "vial": raw.vial,
        "standard_mass_g": raw.standard_mass_g,
        "unknown_mass_g": raw.unknown_mass_g,
        **raw.own,
    }
    for reading in raw.readings:
        boxes["scale"] = reading.scale.value
        boxes[f"value/{reading.tube}/{reading.replicate}"] = reading.value
        boxes[f"taken/{reading.tube}"] = reading.taken_mL
        boxes[f"left_out/{reading.tube}"] = ""
    boxes |= {f"left_out/{tube}": "1" for tube in raw.left_out}
    return {name: "" if value is None else str(value) for name, value in boxes.items()}


def is_same(one: str, other: str) -> bool:
    """Whether two things typed mean the same: a number however it is written.

    Examples
    --------
    >>> is_same("43,50", "43.5"), is_same("U1", "U2")
    (True, False)
    """
    try:
        return read_number(one) == read_number(other)
    except NotANumber:
        return one.strip() == other.strip()
