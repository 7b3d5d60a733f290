"""Records for tests: valid unless a test says otherwise, always the same values."""

from dataclasses import dataclass
from datetime import UTC, datetime

from django.contrib.auth.models import User
from django.utils import timezone

from results import intake, recompute
from results.grading import Actor
from results.models import (
    AssignedValue,
    Course,
    Duty,
    GradingScheme,
    Group,
    Issue,
    Lot,
    Protocol,
    Section,
    Station,
    Vial,
)
from results.policy.codes import ALPHABET, SLIP_LENGTH, check_sign, in_parts, read_code
from results.policy.marking import DEFAULT_DOCUMENT
from results.policy.typed import RawReading, RawSubmission, Scale
from results.rosters import join_group
from results.summaries.rights import rights_of

NOW = datetime(2025, 3, 4, 14, 0, tzinfo=UTC)
PASSWORD = "wide-bench-warm-bath"
# L/mg at 510 nm and 1 cm: 11 100 L/(mol cm) (Fortune and Mellon 1938, from
# memory) over 55.845 g/mol and 1000 mg/g.
SLOPE = 0.1988
IRON_PERCENT = 12.0
STANDARD_MASS_G = 0.21
UNKNOWN_MASS_G = 0.25
TAKES_ML = {"1": 5, "2": 10, "3": 20, "4": 30, "5": 50}
UNKNOWN_TUBES = ("U1", "U2")
# Iron in FeH20N2O14S2 (392.13 g/mol), from the atomic masses of IUPAC 2021.
_IRON_IN_SALT = 55.845 / 392.13
_PURITY = 0.998


def protocol_document(**changes):
    """A chain of 0.21 g to 500 mL, 25 to 250, takes to 100 mL."""
    document = {
        "analyte": "Fe",
        "wavelength_nm": 510,
        "path_cm": 1.0,
        "standard": {
            "formula": "Fe(NH4)2(SO4)2(H2O)6",
            "purity": _PURITY,
            "purity_u": 0.002,
            "mass_g": STANDARD_MASS_G,
            "steps": [
                {"make_up_mL": 500},
                {"take_mL": 25, "with": "pipette"},
                {"make_up_mL": 250},
            ],
        },
        "standards": [
            {"tube": tube, "take_mL": take, "with": "burette", "make_up_mL": 100}
            for tube, take in TAKES_ML.items()
        ],
        "unknown": {
            "mass_g": UNKNOWN_MASS_G,
            "steps": [
                {"make_up_mL": 250},
                {"take_mL": 10, "with": "pipette"},
                {"make_up_mL": 250},
            ],
            "tubes": [
                {"tube": tube, "take_mL": 25, "with": "pipette", "make_up_mL": 100}
                for tube in UNKNOWN_TUBES
            ],
        },
        "reading": {"scale": "percent_T", "step": 0.5, "sd": 0.3},
        "reagents": [
            {"name": "hydroxylammonium chloride", "volume_mL": 1, "role": "reduces"},
            {"name": "1,10-phenanthroline", "volume_mL": 10, "role": "colours"},
        ],
        "cautions": ["Wear goggles and gloves."],
        "develop_min": 10,
    }
    return {**document, **changes}


def perfect_readings(
    *,
    iron_percent=IRON_PERCENT,
    slope=SLOPE,
    standard_mass_g=STANDARD_MASS_G,
    unknown_mass_g=UNKNOWN_MASS_G,
):
    """Percent transmittance of every tube without any error, by tube."""
    working_mg_L = standard_mass_g * _PURITY * _IRON_IN_SALT * 1e3 / 0.5 * 25 / 250
    mg_L = {tube: working_mg_L * take / 100 for tube, take in TAKES_ML.items()}
    dissolved_mg_L = unknown_mass_g * iron_percent / 100 * 1e3 / 0.25
    mg_L |= dict.fromkeys(UNKNOWN_TUBES, dissolved_mg_L * 10 / 250 * 25 / 100)
    return {tube: round(100 * 10 ** (-slope * c), 4) for tube, c in mg_L.items()}


def slip_code(number=1):
    """A valid slip code; another one for each number."""
    signs = ""
    for _ in range(SLIP_LENGTH - 1):
        number, digit = divmod(number, len(ALPHABET))
        signs = ALPHABET[digit] + signs
    return in_parts(signs + check_sign(signs))


def make_course(code="IRON-1", *, protocol=True, **fields):
    """A course that shows iron contents at once, with a protocol unless told."""
    fields = {
        "title": "Iron, autumn",
        "iron_shown": "at_once",
        "own_answer_first": False,
        **fields,
    }
    course = Course.objects.create(code=code, **fields)
    if protocol:
        make_protocol(course)
    return course


def the_course():
    """The course that records without a named course belong to."""
    return Course.objects.filter(code="IRON-1").first() or make_course()


def the_section():
    """The section that groups without a named section belong to."""
    return Section.objects.filter(course=the_course()).first() or make_section()


def make_protocol(course=None, document=None, *, version=1):
    return Protocol.objects.create(
        course=course or make_course(protocol=False),
        version=version,
        document=document or protocol_document(),
        adopted_at=NOW,
    )


def make_section(course=None, code="A1", **fields):
    """A section that is always open unless it is given times."""
    return Section.objects.create(course=course or the_course(), code=code, **fields)


def make_group(section=None, code="1", *, slip="", students=()):
    """A group; `slip` is the code on its slip, such as `slip_code(3)`."""
    group = Group.objects.create(
        section=section or the_section(),
        code=code,
        slip_digest=intake.slip_digest(read_code(slip)) if slip else None,
        slip_issued_at=NOW if slip else None,
    )
    join_group(group, students, since=NOW)
    return group


def make_station(course=None, code="4", **fields):
    return Station.objects.create(course=course or the_course(), code=code, **fields)


def make_lot(course=None, code="L1", *, iron_percent=IRON_PERCENT, u_iron_percent=0.04):
    """A lot with its assigned value; none if `iron_percent` is None."""
    lot = Lot.objects.create(course=course or the_course(), code=code)
    if iron_percent is not None:
        AssignedValue.objects.create(
            lot=lot,
            iron_percent=iron_percent,
            u_iron_percent=u_iron_percent,
            valid_from=NOW,
        )
    return lot


def make_vial(lot=None, code="417", *, group=None):
    """A vial of a lot, in the hands of a group if one is given."""
    lot = lot or make_lot()
    vial = Vial.objects.create(course=lot.course, lot=lot, code=code)
    if group is not None:
        Issue.objects.create(vial=vial, group=group, issued_at=NOW)
    return vial


def make_staff(username="ada", *, role="coordinator", course=None, section=None):
    """A coordinator of a course, or an assistant of a section.

    The password is `PASSWORD`; with `role=None` the person has no duty at all.
    """
    user = User.objects.create_user(username, password=PASSWORD)
    if role == "coordinator":
        Duty.objects.create(user=user, course=course or the_course(), role=role)
    elif role == "assistant":
        section = section or the_section()
        Duty.objects.create(
            user=user, course=section.course, section=section, role=role
        )
    return user


@dataclass
class Bench:
    """Everything one group needs to submit."""

    course: Course
    section: Section
    group: Group
    station: Station
    lot: Lot
    vial: Vial


def make_bench(*, iron_percent=IRON_PERCENT, slip="", section=None, **course_fields):
    """A course with a section, a group that holds a vial, and station 4."""
    if section is None:
        section = make_section(make_course(**course_fields))
    course = section.course
    group = make_group(section, slip=slip)
    lot = make_lot(course, iron_percent=iron_percent)
    return Bench(
        course, section, group, make_station(course), lot, make_vial(lot, group=group)
    )


def raw_submission(*, percent_T=None, left_out=(), own=None, **fields):
    """Readings as typed, without any error unless told.

    Parameters
    ----------
    percent_T : dict, optional
        Readings by tube that differ from the perfect ones; None leaves one empty.
    """
    fields = {
        "station": "4",
        "standard_mass_g": STANDARD_MASS_G,
        "unknown_mass_g": UNKNOWN_MASS_G,
        **fields,
    }
    values = {**perfect_readings(), **(percent_T or {})}
    return RawSubmission(
        readings=tuple(
            RawReading(tube, value, Scale.PERCENT_T) for tube, value in values.items()
        ),
        left_out=tuple(left_out),
        own=own or {},
        **fields,
    )


def submit(group, raw=None, *, key="key-1", at=NOW, **fields):
    """Send readings for a group and return what became of them."""
    return intake.accept_submission(
        group_id=group.pk,
        raw=raw or raw_submission(),
        source="api",
        idempotency_key=key,
        received_at=at,
        **fields,
    )


def worked_off(clock=timezone.now):
    """Compute everything that waits; return how many submissions that were."""
    return recompute.work_off(clock=clock)


def make_grading(course=None, document=None, *, version=1):
    """A grading scheme in force; out of 20 unless told."""
    return GradingScheme.objects.create(
        course=course or the_course(),
        version=version,
        document=document or dict(DEFAULT_DOCUMENT),
        adopted_at=NOW,
    )


def actor(user):
    """Whoever acts, with the rights of their duties."""
    return Actor(user.pk, user.username, rights_of(user.pk))
