"""A course for a rush: entered in the site's own database, told as sheets to send.

Entered by a shell of the site, ``manage.py shell -c``, since only the site's processes
use its database: `told` prints what the phones need to know.
"""

import json
import sys
from dataclasses import asdict, dataclass
from math import ceil

GROUPS_A_SECTION = 12
STATIONS = 40
LOTS = 8
# Some groups of an invented class have not handed in, and some typed what the sheet
# would have asked about: so many more are invented than are needed.
_SPARE = 1.3
_SEED = 2000
_OWN = ("own_slope", "own_intercept", "own_unknown_mg_L", "own_iron_percent")


@dataclass(frozen=True, slots=True)
class Sheet:
    """What one group signs in with, and what it will have typed.

    Attributes
    ----------
    label : str
        Course, section and group, as pages and their scripts name the group.
    readings : list of [str, int, float, float]
        Tube, replicate, mL taken, value.
    own : dict of str to str
        The group's own worked answer.
    """

    label: str
    slip_code: str
    station: str
    scale: str
    standard_mass_g: float
    unknown_mass_g: float
    readings: list
    own: dict


def enter_at(site, n_groups):
    """Make the course on a site of processes, and return its sheets."""
    told_there = f"from tests.rush.course import told; told({n_groups})"
    lines = site.manage("shell", "--no-imports", "-c", told_there).splitlines()
    return [Sheet(**one) for one in json.loads(lines[-1])]


def told(n_groups):
    """Make the tables and the course, and print its sheets; runs inside the site."""
    from django.core.management import call_command  # noqa: PLC0415

    call_command("migrate", verbosity=0)
    sys.stdout.write(json.dumps([asdict(one) for one in enter(n_groups)]) + "\n")


def enter(n_groups):
    """Enter a course of so many groups, in the database of this process."""
    from results.science.simulate import invent_course  # noqa: PLC0415

    invented = invent_course(
        _SEED,
        sections=ceil(_SPARE * n_groups / GROUPS_A_SECTION) + 1,
        groups_per_section=GROUPS_A_SECTION,
        stations=STATIONS,
        lots=LOTS,
    )
    chosen = [one for one in invented.groups if _would_be_admitted(one, invented)]
    assert len(chosen) >= n_groups, "too few groups were invented"
    return list(_enter_groups(invented, chosen[:n_groups]))


def _would_be_admitted(group, invented):
    from results.policy.admission import BenchRules, admit  # noqa: PLC0415
    from results.policy.protocol import read_protocol  # noqa: PLC0415
    from results.policy.refusals import NotAdmitted  # noqa: PLC0415
    from results.policy.typed import (  # noqa: PLC0415
        RawReading,
        RawSubmission,
        Scale,
        fold,
    )

    sent = group.submission
    if sent is None:
        return False
    scale = Scale(_scales(invented)[group.station])
    raw = RawSubmission(
        station=group.station,
        standard_mass_g=sent.standard_mass_g,
        unknown_mass_g=sent.unknown_mass_g,
        readings=tuple(
            RawReading(one.tube, one.value, scale, one.replicate, one.taken_mL)
            for one in sent.readings
        ),
        own={name: getattr(sent, name) for name in _OWN},
    )
    rules = BenchRules(
        protocol=read_protocol(invented.protocol),
        stations={fold(group.station): group.station},
        vials={},
    )
    try:
        admit(raw, rules)
    except NotAdmitted:
        return False
    return True


def _scales(invented):
    return {station.code: station.scale for station in invented.stations}


def _enter_groups(invented, chosen):
    """Enter the course and these groups, packed into full sections."""
    from django.utils import timezone  # noqa: PLC0415

    from results.intake import slip_digest  # noqa: PLC0415
    from results.models import Group, Issue, Section, Vial  # noqa: PLC0415
    from results.policy.codes import read_code  # noqa: PLC0415
    from tests.factories import slip_code  # noqa: PLC0415

    now = timezone.now()
    course = _enter_course(invented, now)
    sections = Section.objects.bulk_create(
        Section(course=course, code=f"R{number + 1}")
        for number in range(ceil(len(chosen) / GROUPS_A_SECTION))
    )
    groups = Group.objects.bulk_create(
        Group(
            section=sections[number // GROUPS_A_SECTION],
            code=str(number % GROUPS_A_SECTION + 1),
            slip_digest=slip_digest(read_code(slip_code(number + 1))),
            slip_issued_at=now,
        )
        for number in range(len(chosen))
    )
    vials = {vial.code: vial for vial in Vial.objects.all()}
    Issue.objects.bulk_create(
        Issue(vial=vials[one.vial], group=group, issued_at=now)
        for one, group in zip(chosen, groups, strict=True)
    )
    scales = _scales(invented)
    for number, (one, group) in enumerate(zip(chosen, groups, strict=True)):
        sent = one.submission
        yield Sheet(
            label=f"{course.code}/{group.section.code}/{group.code}",
            slip_code=slip_code(number + 1),
            station=one.station,
            scale=scales[one.station],
            standard_mass_g=sent.standard_mass_g,
            unknown_mass_g=sent.unknown_mass_g,
            readings=[
                [read.tube, read.replicate, read.taken_mL, read.value]
                for read in sent.readings
            ],
            own={name: getattr(sent, name) for name in _OWN},
        )


def _enter_course(invented, now):
    from results.models import (  # noqa: PLC0415
        AssignedValue,
        Lot,
        Station,
        Vial,
    )
    from tests.factories import make_course, make_grading, make_protocol  # noqa: PLC0415

    course = make_course(invented.code, protocol=False, title=invented.title)
    make_protocol(course, invented.protocol)
    make_grading(course)
    Station.objects.bulk_create(
        Station(course=course, code=one.code, scale=one.scale, step=one.step)
        for one in invented.stations
    )
    lots = {}
    for one in invented.lots:
        lots[one.code] = Lot.objects.create(course=course, code=one.code)
        AssignedValue.objects.create(
            lot=lots[one.code],
            iron_percent=one.iron_percent,
            u_iron_percent=one.u_iron_percent,
            valid_from=now,
        )
    Vial.objects.bulk_create(
        Vial(course=course, lot=lots[one.lot], code=one.code) for one in invented.vials
    )
    return course
