"""What stands on the labels of vials, stations and groups."""

from collections.abc import Collection, Iterable, Mapping
from datetime import datetime

from django.http import HttpRequest
from django.urls import reverse

from frontend.preparing.label_runs import Label
from frontend.printed_codes import slip_address
from results.policy.codes import SLIP_LENGTH, check_sign, in_parts
from results.policy.language import day_and_time, marked, tell
from results.summaries.paper import CourseStickers, SectionSlips, SlipRow
from results.summaries.preparing.paper import VialLabels

# Common practice: what a label of a solid unknown says, and nothing of its lot.
HAZARD = marked("Iron unknown. See the safety data sheet.")
_BODY = "A" * (SLIP_LENGTH - 1)
# As long as any code, so that a run can be laid out before codes are made.
_SOME_CODE = in_parts(_BODY + check_sign(_BODY))


def labels_of_vials(found: VialLabels, supplied_g: float | None) -> list[Label]:
    """Return the labels of vials: two of different lots differ in their codes only."""
    supplied = "" if supplied_g is None else tell("{g:g} g supplied", g=supplied_g)
    about = ", ".join(part for part in (supplied, found.term) if part)
    lines = tuple(line for line in (tell(HAZARD), about) if line)
    return [
        Label(code, code, tell("Code of vial {code}", code=code), lines)
        for code in found.codes
    ]


def labels_of_stations(request: HttpRequest, course: CourseStickers) -> list[Label]:
    """Return the stickers of stations: a camera on the square chooses the station."""
    about = _course(course.course_title, course.term)
    return [
        Label(
            one.code,
            request.build_absolute_uri(reverse("station-door", args=[one.code])),
            tell("Code that chooses station {station}", station=one.code),
            tuple(
                line
                for line in (
                    tell("Station") + (f", {one.place}" if one.place else ""),
                    about,
                )
                if line
            ),
        )
        for one in course.stations
    ]


def labels_of_slips(
    request: HttpRequest,
    sections: Iterable[SectionSlips],
    codes: Mapping[int, str],
    now: datetime,
) -> list[Label]:
    """Return the slips of the groups that have just got a code."""
    home = request.build_absolute_uri(reverse("home"))
    return [
        _slip(request, section, row, codes[row.group_id], home, now)
        for section in sections
        for row in section.rows
        if row.group_id in codes
    ]


def by_hand_words() -> dict[str, str]:
    """Return what is written on a slip by hand."""
    return {
        "weighed": tell("Unknown weighed, g"),
        "issued": tell("Issued by"),
        "received": tell("Received by"),
    }


def blank_codes(group_ids: Collection[int]) -> dict[int, str]:
    """Return what stands for codes that are still to be made, by group."""
    return dict.fromkeys(group_ids, _SOME_CODE)


def _slip(
    request: HttpRequest,
    section: SectionSlips,
    row: SlipRow,
    code: str,
    home: str,
    now: datetime,
) -> Label:
    lines = (
        tell(
            "Group {group}, section {section}", group=row.group, section=section.section
        ),
        ", ".join(row.students),
        tell("Vial {vial}", vial=row.vial) if row.vial else "",
        tell("Camera on the square, or type the code at {address}", address=home),
        tell(
            "{course}; made {moment}",
            course=_course(section.course_title, section.term),
            moment=day_and_time(now),
        ),
    )
    return Label(
        code,
        slip_address(request, code),
        tell("Code that signs in group {group}", group=row.group),
        tuple(line for line in lines if line),
    )


def _course(title: str, term: str) -> str:
    return ", ".join(part for part in (title, term) if part)
