"""Stations as they are typed: many codes at once, a scale and its smallest step."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from results.policy.numbers import NotANumber, read_number
from results.policy.refusals import NotAdmitted, Problem
from results.policy.typed import LONGEST_CODE, Scale

#: In one course: its table is one form.
MOST_STATIONS = 200
_LONGEST_PLACE = 120
_RANGE = re.compile(
    r"(?P<head>.*?)(?P<first>\d{1,6})\s*[-–]\s*(?P=head)(?P<last>\d{1,6})"
)
#: A step larger than this could tell no two tubes apart.
_MOST_STEP = {Scale.PERCENT_T: 10.0, Scale.ABSORBANCE: 0.5}


@dataclass(frozen=True, slots=True)
class StationFields:
    """What can be said of a station: its place, its scale and its smallest step."""

    place: str
    scale: Scale
    step: float


def read_codes(typed: str) -> list[str]:
    """Return the codes that were typed, ranges counted out.

    Raises
    ------
    NotAdmitted
        There is none, one is too long, or there are too many.

    Examples
    --------
    >>> read_codes("1-3, 7, A01-A03")
    ['1', '2', '3', '7', 'A01', 'A02', 'A03']
    """
    codes: dict[str, None] = {}
    for piece in (one.strip() for one in re.split(r"[,;\n]", typed)):
        if piece and len(codes) <= MOST_STATIONS:
            codes |= dict.fromkeys(_counted_out(piece))
    message = ""
    if not codes:
        message = "Write the stations to make, such as 1-40."
    elif len(codes) > MOST_STATIONS:
        message = f"A course has {MOST_STATIONS} stations at most."
    elif any(len(code) > LONGEST_CODE or "\x00" in code for code in codes):
        message = f"A station's code has {LONGEST_CODE} signs at most."
    if message:
        raise NotAdmitted([Problem(("codes",), message)])
    return list(codes)


def _counted_out(piece: str) -> list[str]:
    match = _RANGE.fullmatch(piece)
    if match is None or int(match["last"]) < int(match["first"]):
        return [piece]
    first, last = int(match["first"]), int(match["last"])
    last = min(last, first + MOST_STATIONS)
    width = len(match["first"])
    return [f"{match['head']}{n:0{width}d}" for n in range(first, last + 1)]


def read_fields(typed: Mapping[str, str], place: str = "") -> StationFields:
    """Return what was typed of a station.

    Parameters
    ----------
    place : str
        Name of the row in which it stands; problems name it first.

    Raises
    ------
    NotAdmitted
        Something needs mending; all of it is named.
    """
    where = (place,) if place else ()
    problems, step = [], 0.0
    scale = next((one for one in Scale if one == typed.get("scale")), None)
    if scale is None:
        problems.append(Problem((*where, "scale"), "Choose a scale."))
    try:
        step = read_number(typed.get("step", ""))
    except NotANumber as error:
        problems.append(Problem((*where, "step"), str(error)))
    else:
        most = _MOST_STEP[scale or Scale.PERCENT_T]
        if not 0 < step <= most:
            message = f"Give the smallest step of the scale, above 0 to {most:g}."
            problems.append(Problem((*where, "step"), message))
    text = typed.get("place", "").replace("\x00", "").strip()
    if len(text) > _LONGEST_PLACE:
        message = f"Shorten the place to {_LONGEST_PLACE} signs."
        problems.append(Problem((*where, "place"), message))
    if problems or scale is None:
        raise NotAdmitted(problems)
    return StationFields(text, scale, step)
