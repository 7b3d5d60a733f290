"""Reads a scheme from its document and says everything that is wrong with it."""

import math
from collections.abc import Mapping, Sequence

from results.science.document import (
    NOT_NEGATIVE,
    DocumentReader,
    Limits,
    SchemeError,
)
from results.science.formula import FormulaError, mass_fraction
from results.science.scheme import Reading, Scheme, Step, Tube
from results.science.tolerance_document import SMALL_SHARE, read_tolerances

#: What a volume may be delivered with, as the trade calls it.
DELIVERIES = frozenset(
    {"pipette", "graduated pipette", "piston pipette", "burette", "cylinder"}
)
SCALES = frozenset({"percent_T", "absorbance"})
FEWEST_STANDARDS = 3


def parse_scheme(document: Mapping[str, object]) -> Scheme:
    """Read a scheme document, or say everything that is wrong with it.

    Parameters
    ----------
    document : mapping
        With the keys ``analyte``, ``wavelength_nm``, ``path_cm``, ``standard``,
        ``standards``, ``unknown`` and ``reading``, as JSON would give it; optional
        are ``tolerances`` and ``use_blank``.

    Raises
    ------
    SchemeError
        Its ``problems`` list every fault with its place, not only the first.

    Examples
    --------
    >>> parse_scheme({"analyte": "Fe"}).path_cm
    Traceback (most recent call last):
    results.science.document.SchemeError: /standard: standard is missing; ...
    """
    root = DocumentReader(document, "", [])
    standard, unknown = root.child("standard"), root.child("unknown")
    analyte = root.text("analyte", default="Fe")
    scheme = Scheme(
        analyte=analyte,
        wavelength_nm=root.number("wavelength_nm"),
        path_cm=root.number("path_cm", default=1.0),
        formula=standard.text("formula"),
        analyte_fraction=_analyte_fraction(standard, analyte),
        # An effloresced salt can assay above 100 %; 99.8 typed for 0.998 cannot.
        purity=standard.number("purity", Limits(above=0.0, at_most=1.1), default=1.0),
        purity_u=standard.number(
            "purity_u", Limits(at_least=0.0, at_most=0.5), default=0.0
        ),
        standard_mass_g=standard.number("mass_g"),
        standard_steps=_read_steps(standard),
        standards=_read_tubes(root, "standards"),
        unknown_mass_g=unknown.number("mass_g"),
        unknown_steps=_read_steps(unknown),
        unknowns=_read_tubes(unknown, "tubes"),
        reading=_read_reading(root.child("reading")),
        tolerances=read_tolerances(root),
        use_blank=root.flag("use_blank"),
    )
    _check_together(scheme, root)
    if root.problems:
        raise SchemeError(tuple(root.problems))
    return scheme


def _analyte_fraction(standard: DocumentReader, analyte: str) -> float:
    formula = standard.node.get("formula") if isinstance(standard.node, Mapping) else ""
    if not isinstance(formula, str) or not formula:
        return math.nan
    try:
        fraction = mass_fraction(formula, analyte)
    except FormulaError as error:
        standard.report(str(error), "formula")
        return math.nan
    if not fraction:
        standard.report(f"The formula {formula!r} contains no {analyte}.", "formula")
    return fraction


def _read_steps(side: DocumentReader) -> tuple[Step, ...]:
    steps: list[Step] = []
    readers = side.items("steps")
    for reader in readers:
        steps.append(_read_step(reader))
        _check_step(reader, steps)
    if side.has("steps") and not readers:
        side.report("needs at least one flask to make up", "steps")
    if steps and steps[-1].is_take:
        readers[-1].report("the chain must end in a flask made up, not in a take")
    return tuple(steps)


def _read_step(reader: DocumentReader) -> Step:
    if reader.has("take_mL") == reader.has("make_up_mL"):
        reader.report("a step needs either make_up_mL or take_mL, and not both")
        return Step()
    if reader.has("make_up_mL"):
        return Step(make_up_mL=reader.number("make_up_mL"))
    return Step(
        take_mL=reader.number("take_mL"),
        delivery=reader.text("with", default="pipette", choices=DELIVERIES),
    )


def _check_step(reader: DocumentReader, steps: Sequence[Step]) -> None:
    """Check the last step against the flask before it."""
    step, before = steps[-1], steps[:-1]
    flask_mL = next(
        (earlier.make_up_mL for earlier in reversed(before) if not earlier.is_take),
        math.nan,
    )
    if step.is_take and not before:
        reader.report("the weighed solid must be made up before any of it is taken")
    elif step.is_take and before[-1].is_take:
        reader.report("what was taken must be made up before the next take")
    elif step.is_take and step.take_mL > flask_mL:
        reader.report(
            f"takes {step.take_mL:g} mL from a flask of {flask_mL:g} mL", "take_mL"
        )
    elif before and step.make_up_mL < _volume_in_hand(before[-1]):
        in_hand_mL = _volume_in_hand(before[-1])
        reader.report(
            f"makes {in_hand_mL:g} mL up to only {step.make_up_mL:g} mL", "make_up_mL"
        )


def _volume_in_hand(step: Step) -> float:
    return step.take_mL if step.is_take else step.make_up_mL


def _read_tubes(owner: DocumentReader, key: str) -> tuple[Tube, ...]:
    tubes = tuple(_read_tube(reader) for reader in owner.items(key))
    if owner.has(key) and not tubes:
        owner.report("needs at least one tube", key)
    return tubes


def _read_tube(reader: DocumentReader) -> Tube:
    tube = Tube(
        label=reader.text("tube"),
        take_mL=reader.number("take_mL", NOT_NEGATIVE),
        make_up_mL=reader.number("make_up_mL"),
        delivery=reader.text("with", default="pipette", choices=DELIVERIES),
    )
    if tube.take_mL > tube.make_up_mL:
        reader.report(
            f"makes {tube.take_mL:g} mL up to only {tube.make_up_mL:g} mL", "make_up_mL"
        )
    return tube


def _read_reading(reader: DocumentReader) -> Reading:
    return Reading(
        scale=reader.text("scale", choices=SCALES),
        step=reader.number("step", NOT_NEGATIVE),
        sd=reader.number("sd", NOT_NEGATIVE),
        sd_relative=reader.number("sd_relative", SMALL_SHARE, default=0.0),
    )


def _check_together(scheme: Scheme, root: DocumentReader) -> None:
    """Check what only shows when the parts are seen together."""
    _check_labels(scheme, root)
    _check_counts(scheme, root)
    last_flasks = (
        ("/standards", scheme.standards, scheme.standard_steps),
        ("/unknown/tubes", scheme.unknowns, scheme.unknown_steps),
    )
    for path, tubes, steps in last_flasks:
        flask_mL = steps[-1].make_up_mL if steps else math.nan
        for index, tube in enumerate(tubes):
            if tube.take_mL > flask_mL:
                root.report_at(
                    f"{path}/{index}/take_mL",
                    f"takes {tube.take_mL:g} mL from a flask of {flask_mL:g} mL",
                )


def _check_labels(scheme: Scheme, root: DocumentReader) -> None:
    seen: set[str] = set()
    places = [(f"/standards/{i}/tube", t) for i, t in enumerate(scheme.standards)]
    places += [(f"/unknown/tubes/{i}/tube", t) for i, t in enumerate(scheme.unknowns)]
    for path, tube in places:
        if tube.label and tube.label in seen:
            root.report_at(path, f"the label {tube.label} is used twice")
        seen.add(tube.label)


def _check_counts(scheme: Scheme, root: DocumentReader) -> None:
    strengths = {tube.take_mL / tube.make_up_mL for tube in scheme.standards}
    if 0 < len(scheme.standards) < FEWEST_STANDARDS:
        root.report(f"needs at least {FEWEST_STANDARDS} standards", "standards")
    elif len(strengths) == 1:
        root.report("all standards have the same concentration", "standards")
    for index, tube in enumerate(scheme.unknowns):
        if tube.take_mL == 0:
            root.report_at(
                f"/unknown/tubes/{index}/take_mL",
                "take_mL must be more than 0 for an unknown",
            )
