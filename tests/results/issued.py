"""A course ready for issuing: sections of groups in places, lots with free vials."""

from results.issuing import issue_by_plan, preview_plan
from results.models import Group
from results.policy.issuing import IssuingWish
from tests.factories import (
    NOW,
    make_course,
    make_group,
    make_lot,
    make_section,
    make_station,
    make_vial,
)


def make_prepared(
    *, sections=2, per_section=4, lots=3, stations=5, vials=8, course=None
):
    """Return the course; groups are 1, 2, ..., lots LA, LB, ..., vials as V101."""
    course = course or make_course()
    for number in range(sections):
        section = make_section(course, code=f"A{number + 1}")
        for place in range(1, per_section + 1):
            group = make_group(section, code=str(place), students=(f"P{place}",))
            group.place = place
            group.save()
    for number in range(lots):
        lot = make_lot(course, code=f"L{chr(65 + number)}")
        for n in range(vials):
            make_vial(lot, code=f"V{number + 1}{n + 1:02}")
    for number in range(stations):
        make_station(course, code=f"S{number + 1}", place=f"Room {number % 2}, bench")
    return course


def everybody(course, **wish):
    sections = frozenset(course.sections.values_list("pk", flat=True))
    return IssuingWish(**{"seed": 7, "sections": sections, **wish})


def look(wish, who):
    return preview_plan("IRON-1", wish, rights=who.rights, now=NOW)


def issue(wish, who, *, now=NOW):
    seen = look(wish, who).mark
    return issue_by_plan("IRON-1", wish, seen=seen, actor=who, now=now)


def group_at(section, place):
    return Group.objects.get(section__code=section, place=place)


def lot_of(group):
    return group.issues.get(ended_at__isnull=True).vial.lot.code
