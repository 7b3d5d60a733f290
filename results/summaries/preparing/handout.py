"""The class handout: the scheme as a group works by it; never an assigned value."""

from dataclasses import dataclass

from results.models.courses import coordinated_course, protocol_in_force
from results.policy.access import Rights
from results.policy.protocol import Reagent, read_protocol
from results.science.formula import ATOMIC_WEIGHTS, molar_mass
from results.science.scheme import Step, Tube


@dataclass(frozen=True, slots=True)
class ChainStep:
    """One move: take with, or make up to; volumes in mL, None for the other."""

    take_mL: float | None
    make_up_mL: float | None
    delivery: str


@dataclass(frozen=True, slots=True)
class ChainTube:
    """One flask in which the colour is developed; volumes in mL."""

    label: str
    take_mL: float
    make_up_mL: float
    delivery: str


@dataclass(frozen=True, slots=True)
class Chain:
    """From the powder to the flasks that are measured."""

    mass_g: float
    steps: tuple[ChainStep, ...]
    tubes: tuple[ChainTube, ...]


@dataclass(frozen=True, slots=True)
class Constants:
    """What the course computes by; molar masses in g/mol, of the standard's formula."""

    formula: str
    molar_mass_g: float
    analyte: str
    analyte_g_per_mol: float
    analyte_fraction: float
    purity: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Handout:
    """What one page for students says."""

    course: str
    title: str
    term: str
    college: str
    protocol_title: str
    protocol_version: int
    standards: Chain
    unknown: Chain
    reagents: tuple[Reagent, ...]
    develop_min: float
    wavelength_nm: float
    path_cm: float
    scale: str
    constants: Constants
    cautions: tuple[str, ...]


def course_handout(course_code: str, *, rights: Rights) -> Handout:
    """Return the handout of a course's protocol in force; two queries.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    NoProtocol
        The course has no protocol.
    """
    course = coordinated_course(course_code, rights=rights)
    protocol = protocol_in_force(course)
    rules = read_protocol(protocol.document)
    scheme = rules.scheme
    return Handout(
        course=course.code,
        title=course.title,
        term=course.term,
        college=course.college,
        protocol_title=str(protocol.document.get("title") or protocol.title),
        protocol_version=protocol.version,
        standards=_chain(
            scheme.standard_mass_g, scheme.standard_steps, scheme.standards
        ),
        unknown=_chain(scheme.unknown_mass_g, scheme.unknown_steps, scheme.unknowns),
        reagents=rules.reagents,
        develop_min=rules.develop_min,
        wavelength_nm=scheme.wavelength_nm,
        path_cm=scheme.path_cm,
        scale=scheme.reading.scale,
        constants=Constants(
            formula=scheme.formula,
            molar_mass_g=molar_mass(scheme.formula),
            analyte=scheme.analyte,
            analyte_g_per_mol=ATOMIC_WEIGHTS[scheme.analyte],
            analyte_fraction=scheme.analyte_fraction,
            purity=scheme.purity,
        ),
        cautions=rules.cautions,
    )


def _chain(mass_g: float, steps: tuple[Step, ...], tubes: tuple[Tube, ...]) -> Chain:
    return Chain(
        mass_g,
        tuple(
            ChainStep(step.take_mL, None, step.delivery)
            if step.is_take
            else ChainStep(None, step.make_up_mL, "")
            for step in steps
        ),
        tuple(
            ChainTube(one.label, one.take_mL, one.make_up_mL, one.delivery)
            for one in tubes
        ),
    )
