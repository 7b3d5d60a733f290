"""Everything that a plan for issuing vials rests on."""

import hashlib
import re
from collections.abc import Iterable
from dataclasses import astuple, dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef, QuerySet

from results.models import (
    AssignedValue,
    Course,
    Group,
    Issue,
    Lot,
    Section,
    Station,
    Submission,
    Vial,
)
from results.policy.issuing import IssuingWish
from results.summaries.preparing.former_lots import former_lots

_DIGITS = re.compile(r"(\d+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupState:
    """One group with what it holds.

    Attributes
    ----------
    place : int or None
        Place along the benches.
    vial, lot_id : str, int or None
        What it holds; empty and None if nothing.
    former : frozenset of str
        Codes of lots that the group, or anybody in it, has had.
    """

    group_id: int
    group: str
    section_id: int
    place: int | None
    station_id: int | None
    has_sent: bool
    vial: str
    lot_id: int | None
    former: frozenset[str]


@dataclass(frozen=True, slots=True)
class StationState:
    """One station; its room is what stands before the comma of its place."""

    station_id: int
    station: str
    room: str
    in_service: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuingState:
    """A course as a plan finds it; everything in the order of its codes.

    Attributes
    ----------
    sections, lots : tuple of (id, code)
    free : dict of int to tuple of (id, code)
        Vials that can be issued, by lot.
    """

    course: str
    title: str
    sections: tuple[tuple[int, str], ...]
    groups: tuple[GroupState, ...]
    lots: tuple[tuple[int, str], ...]
    free: dict[int, tuple[tuple[int, str], ...]]
    stations: tuple[StationState, ...]

    def mark(self, wish: IssuingWish) -> str:
        """Return a mark that changes with whatever a plan would rest on."""
        groups = [(*astuple(one)[:-1], sorted(one.former)) for one in self.groups]
        told = (
            self.course,
            self.sections,
            groups,
            self.lots,
            sorted(self.free.items()),
            [astuple(one) for one in self.stations],
            sorted(wish.sections),
            sorted(wish.rooms.items()),
            (wish.seed, wish.group, wish.again, wish.reason),
            (wish.neighbours_may_share, wish.plans_stations, wish.keeps_stations),
        )
        return hashlib.sha256(repr(told).encode()).hexdigest()[:32]


def by_code(code: str) -> list[tuple[int, str]]:
    """Order codes as people do, numbers by their size.

    Examples
    --------
    >>> sorted(["A10", "A9", "B"], key=by_code)
    ['A9', 'A10', 'B']
    """
    parts = _DIGITS.split(code)
    return [(int(part) if part.isdecimal() else -1, part) for part in parts]


def issuable_lots(course: Course, *, now: datetime) -> QuerySet[Lot]:
    """Return the lots whose vials may be issued: in use, with an assigned value."""
    value = AssignedValue.objects.filter(lot=OuterRef("pk"), valid_from__lte=now)
    return Lot.objects.filter(Exists(value), course=course, retired_at__isnull=True)


def free_vials(course: Course, *, now: datetime) -> QuerySet[Vial]:
    """Return the vials that may be issued: nobody has held one, or read from it."""
    return Vial.objects.free().filter(
        course=course,
        lot__in=issuable_lots(course, now=now),
        submissions__isnull=True,
    )


def issuing_state(course: Course, *, now: datetime) -> IssuingState:
    """Read what a plan rests on; nine queries, however many groups."""
    free: dict[int, list[tuple[int, str]]] = {}
    for lot, vial, code in free_vials(course, now=now).values_list(
        "lot_id", "pk", "code"
    ):
        free.setdefault(lot, []).append((vial, code))
    sections = _coded(Section.objects.filter(course=course).values_list("pk", "code"))
    return IssuingState(
        course=course.code,
        title=course.title,
        sections=sections,
        groups=_groups(course, dict(sections)),
        lots=_coded(Lot.objects.filter(course=course).values_list("pk", "code")),
        free={lot: _coded(vials) for lot, vials in free.items()},
        stations=tuple(
            StationState(pk, code, place.partition(",")[0].strip(), in_service)
            for pk, code, place, in_service in sorted(
                Station.objects.filter(course=course).values_list(
                    "pk", "code", "place", "in_service"
                ),
                key=lambda row: by_code(row[1]),
            )
        ),
    )


def _coded(rows: Iterable[tuple[int, str]]) -> tuple[tuple[int, str], ...]:
    return tuple(sorted(rows, key=lambda row: by_code(row[1])))


def _groups(course: Course, sections: dict[int, str]) -> tuple[GroupState, ...]:
    groups = Group.objects.filter(section__course=course)
    before = former_lots(course, groups)
    held: dict[int, tuple[str, int]] = {}
    own: dict[int, set[str]] = {}
    for group, vial, lot_id, lot, ended_at in Issue.objects.filter(
        group__in=groups
    ).values_list(
        "group_id", "vial__code", "vial__lot_id", "vial__lot__code", "ended_at"
    ):
        own.setdefault(group, set()).add(lot)
        if ended_at is None:
            held[group] = vial, lot_id
    sent = Submission.objects.filter(group=OuterRef("pk"))
    rows = groups.annotate(has_sent=Exists(sent)).values_list(
        "pk", "code", "section_id", "place", "planned_station_id", "has_sent"
    )
    found = []
    for pk, code, section, place, station, has_sent in rows:
        found.append(
            GroupState(
                group_id=pk,
                group=code,
                section_id=section,
                place=place,
                station_id=station,
                has_sent=has_sent,
                vial=held[pk][0] if pk in held else "",
                lot_id=held[pk][1] if pk in held else None,
                former=before.get(pk, frozenset()) | own.get(pk, set()),
            )
        )
    order = {
        one.group_id: (
            by_code(sections[one.section_id]),
            one.place is None,
            one.place or 0,
            by_code(one.group),
        )
        for one in found
    }
    return tuple(sorted(found, key=lambda one: order[one.group_id]))
