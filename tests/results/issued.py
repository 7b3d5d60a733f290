"""A course ready for issuing: sections of groups in places, lots with free vials."""

from tests.factories import (
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
