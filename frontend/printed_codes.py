"""Printed codes: the addresses that they hold, and how a camera reads them."""

from collections.abc import Mapping
from dataclasses import dataclass

import segno
from django.http import HttpRequest
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from results.policy.codes import read_code
from results.summaries.paper import CourseStickers, SectionSlips, SlipRow

# ISO/IEC 18004: level M mends about 15 % of a code, enough for a drop of reagent;
# four modules of nothing around it are its quiet zone.
_ERROR_LEVEL = "m"
_QUIET_ZONE = 4


@dataclass(frozen=True, slots=True)
class Slip:
    """One slip as it is printed: the one time that its code is shown."""

    row: SlipRow
    code: str
    square: SafeString


@dataclass(frozen=True, slots=True)
class StickerToPrint:
    """One sticker as it is printed."""

    code: str
    place: str
    in_service: bool
    address: str
    square: SafeString


def _made(text: str) -> segno.QRCode:
    return segno.make(text, error=_ERROR_LEVEL, micro=False)


def modules_along(text: str) -> int:
    """Return the modules along a side of a text's square, its quiet zone among them.

    Examples
    --------
    >>> modules_along("ACD-3F")
    29
    """
    return int(_made(text).symbol_size(border=_QUIET_ZONE)[0])


def square_code(text: str) -> SafeString:
    """Return a text as a QR code (ISO/IEC 18004), a drawing that scales.

    Black on white whatever the page's colours are: many cameras need it so.
    """
    drawing = _made(text).svg_inline(
        border=_QUIET_ZONE,
        dark="#000",
        light="#fff",
        omitsize=True,
        svgclass="square-code",
        lineclass=None,
    )
    return mark_safe(drawing)  # noqa: S308 - drawn here, of modules only


def slip_address(request: HttpRequest, code: str) -> str:
    """Return the address that signs in with a slip code.

    The code stands behind the `#`: browsers keep that part to themselves, so that
    it comes into no server's log and no other site's referrer.
    """
    return request.build_absolute_uri(reverse("slip-door")) + "#" + read_code(code)


def slips_to_print(
    request: HttpRequest, section: SectionSlips, codes: Mapping[int, str]
) -> list[Slip]:
    """Return the slips of the groups that have just got a code."""
    return [
        Slip(row, codes[row.group_id], square_code(slip_address(request, code)))
        for row in section.rows
        if (code := codes.get(row.group_id))
    ]


def stickers_to_print(
    request: HttpRequest, course: CourseStickers
) -> list[StickerToPrint]:
    """Return a sticker for each station of a course."""
    stickers = []
    for station in course.stations:
        address = request.build_absolute_uri(
            reverse("station-door", args=[station.code])
        )
        stickers.append(
            StickerToPrint(
                station.code,
                station.place,
                station.in_service,
                address,
                square_code(address),
            )
        )
    return stickers
