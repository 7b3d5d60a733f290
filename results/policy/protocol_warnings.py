"""What a coordinator may have missed in a protocol: warnings, never refusals."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from results.policy.protocol import ProtocolRules
from results.science.dilution import Scheme, Step, Tube
from results.science.expected import (
    KNOWN_WAVELENGTHS_NM,
    Expected,
    expected_standards,
    expected_unknowns,
)

#: Sizes in which flasks and pipettes are usually bought, mL: ISO 1042 and ISO 648
#: with the sizes between that makers list; from memory.
USUAL_ML: Mapping[str, tuple[float, ...]] = {
    "flask": (5, 10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000),
    "pipette": (0.5, 1, 2, 3, 4, 5, 10, 15, 20, 25, 50, 100),
}
#: The most that one filling delivers, mL; from memory of what is usually bought.
MOST_ML: Mapping[str, float] = {
    "burette": 50,
    "graduated pipette": 25,
    "piston pipette": 10,
    "cylinder": 1000,
}
# Common practice: a tenth of the light is where a teaching meter's stray light shows,
# and above 95 %T half a percent of scatter is a tenth of the concentration.
_LEAST_PERCENT_T, _MOST_PERCENT_T = 10.0, 95.0
# Two standards fix a line; one more only shows that something is off, not what.
_ENOUGH_STANDARDS = 5
_ALIKE = 1e-6
_MOST_NAMED = 4


@dataclass(frozen=True, slots=True)
class LotContent:
    """An iron content that may come to the bench, % by mass, and what it is called."""

    name: str
    iron_percent: float


def protocol_warnings(
    rules: ProtocolRules, contents: Sequence[LotContent]
) -> tuple[str, ...]:
    """Return what is worth a second look, in sentences.

    Parameters
    ----------
    contents : sequence of LotContent
        The course's lots, or the ends of the range that is meant to be issued.
    """
    scheme = rules.scheme
    standards = expected_standards(scheme)
    return (
        *_outside(scheme, standards, contents),
        *_alike(scheme),
        *_beyond_the_meter(scheme, standards, contents),
        *_glassware(scheme),
        *_too_few(scheme),
        *_overfull(rules),
        *_unusual_light(scheme),
        *_masses(rules),
        *_reagents(rules),
    )


def _outside(
    scheme: Scheme, standards: Expected, contents: Sequence[LotContent]
) -> Iterator[str]:
    low, high = float(standards.mg_L.min()), float(standards.mg_L.max())
    if not contents:
        return
    unknowns = expected_unknowns(scheme, _percents(contents)).mg_L
    above = [c for c, row in zip(contents, unknowns, strict=True) if row.max() > high]
    below = [c for c, row in zip(contents, unknowns, strict=True) if row.min() < low]
    if above:
        yield (
            f"The unknown reads above the strongest standard ({high:.3g} mg/L) for "
            f"{_named(above)}: take less of it, or add a stronger standard."
        )
    if below:
        yield (
            f"The unknown reads below the weakest standard ({low:.3g} mg/L) for "
            f"{_named(below)}: take more of it, or add a weaker standard."
        )


def _named(contents: Sequence[LotContent]) -> str:
    told = [f"{one.name} ({one.iron_percent:.4g} %)" for one in contents[:_MOST_NAMED]]
    if len(contents) > _MOST_NAMED:
        told.append(f"{len(contents) - _MOST_NAMED} more")
    return ", ".join(told)


def _percents(contents: Sequence[LotContent]) -> np.ndarray:
    return np.array([one.iron_percent for one in contents], dtype=np.float64)


def _alike(scheme: Scheme) -> Iterator[str]:
    # A step left out of a worked answer is told from the others by its ratio alone.
    seen: dict[float, str] = {}
    for ratio, told in _dilutions(scheme):
        alike = next((t for r, t in seen.items() if abs(r / ratio - 1) < _ALIKE), "")
        if alike:
            yield (
                f"{told} dilutes 1 : {_plain(ratio)}, as {alike} does: if a group "
                "leaves one of them out on paper, nobody can tell which."
            )
        else:
            seen[ratio] = told[0].lower() + told[1:]
    strengths: dict[float, str] = {}
    for tube in scheme.standards:
        strength = round(tube.take_mL / tube.make_up_mL, 9)
        if strength in strengths:
            yield (
                f"Standards {strengths[strength]} and {tube.label} have the same "
                "concentration: exchanged, nobody can tell."
            )
        strengths.setdefault(strength, tube.label)


def _dilutions(scheme: Scheme) -> Iterator[tuple[float, str]]:
    for whose, steps in (
        ("standard", scheme.standard_steps),
        ("unknown", scheme.unknown_steps),
    ):
        for take, flask in pairwise(steps):
            if take.is_take:
                told = f"{take.take_mL:g} to {flask.make_up_mL:g} mL"
                ratio = flask.make_up_mL / take.take_mL
                yield ratio, f"The {whose}’s step {told}"
    # Replicate tubes are one dilution, made several times.
    ratios = {t.make_up_mL / t.take_mL: t for t in scheme.unknowns}
    for ratio, tube in ratios.items():
        told = f"{tube.take_mL:g} to {tube.make_up_mL:g} mL"
        yield ratio, f"The unknown’s tube {told}"


def _plain(ratio: float) -> str:
    return f"{ratio:.4g}"


def _beyond_the_meter(
    scheme: Scheme, standards: Expected, contents: Sequence[LotContent]
) -> Iterator[str]:
    named = [
        (f"Standard {tube.label}", float(percent_T), float(percent_T))
        for tube, percent_T in zip(scheme.standards, standards.percent_T, strict=True)
        # A standard with nothing in it is meant to let all light through.
        if tube.take_mL > 0
    ]
    if contents:
        rows = expected_unknowns(scheme, _percents(contents)).percent_T
        named += [
            (f"The unknown of {one.name}", float(row.min()), float(row.max()))
            for one, row in zip(contents, rows, strict=True)
        ]
    for name, low, high in named:
        if low < _LEAST_PERCENT_T:
            yield (
                f"{name} is expected at {low:.1f} %T, below {_LEAST_PERCENT_T:g}: "
                "stray light and the scatter of the reading take over there."
            )
        if high > _MOST_PERCENT_T:
            yield (
                f"{name} is expected at {high:.1f} %T, above {_MOST_PERCENT_T:g}: most "
                "of what is read there is scatter."
            )


def _glassware(scheme: Scheme) -> Iterator[str]:
    steps = (*scheme.standard_steps, *scheme.unknown_steps)
    tubes = (*scheme.standards, *scheme.unknowns)
    told: set[str] = set()
    for device, volume_mL in (*_volumes(steps), *_tube_volumes(tubes)):
        sentence = _complaint(device, volume_mL)
        if sentence and sentence not in told:
            told.add(sentence)
            yield sentence


def _volumes(steps: Iterable[Step]) -> Iterator[tuple[str, float]]:
    for step in steps:
        if step.is_take:
            yield step.delivery, step.take_mL
        else:
            yield "flask", step.make_up_mL


def _tube_volumes(tubes: Iterable[Tube]) -> Iterator[tuple[str, float]]:
    for tube in tubes:
        if tube.take_mL > 0:
            yield tube.delivery, tube.take_mL
        yield "flask", tube.make_up_mL


def _complaint(device: str, volume_mL: float) -> str:
    most_mL = MOST_ML.get(device)
    if most_mL is not None and volume_mL > most_mL:
        return (
            f"A {device} delivers {most_mL:g} mL at most, not {volume_mL:g} mL: it "
            "would have to be filled again."
        )
    sizes = USUAL_ML.get(device)
    if sizes is not None and volume_mL not in sizes:
        listed = ", ".join(f"{size:g}" for size in sizes)
        return (
            f"A {device} of {volume_mL:g} mL is no usual size ({listed}): look whether "
            "the prep room has it."
        )
    return ""


def _too_few(scheme: Scheme) -> Iterator[str]:
    n = len(scheme.standards)
    if n < _ENOUGH_STANDARDS:
        yield (
            f"{n} standards leave {n - 2} to judge a line by: with five or more, one "
            "that is off can be named."
        )


def _overfull(rules: ProtocolRules) -> Iterator[str]:
    scheme = rules.scheme
    reagents_mL = sum(reagent.volume_mL for reagent in rules.reagents)
    for tube in (*scheme.standards, *scheme.unknowns):
        if tube.take_mL + reagents_mL > tube.make_up_mL:
            yield (
                f"Tube {tube.label} takes {tube.take_mL:g} mL and {reagents_mL:g} mL "
                f"of reagents, more than its {tube.make_up_mL:g} mL flask holds."
            )
    for whose, tubes, steps in (
        ("standards", scheme.standards, scheme.standard_steps),
        ("unknown tubes", scheme.unknowns, scheme.unknown_steps),
    ):
        taken_mL = sum(tube.take_mL for tube in tubes)
        if taken_mL > steps[-1].make_up_mL:
            yield (
                f"The {whose} take {taken_mL:g} mL together from a flask of "
                f"{steps[-1].make_up_mL:g} mL."
            )


def _unusual_light(scheme: Scheme) -> Iterator[str]:
    low, high = KNOWN_WAVELENGTHS_NM
    if not low <= scheme.wavelength_nm <= high:
        yield (
            f"At {scheme.wavelength_nm:g} nm the colour’s absorptivity is not known "
            "here; what is drawn below cannot be relied on."
        )


def _masses(rules: ProtocolRules) -> Iterator[str]:
    for name, span, mass_g in (
        ("standard", rules.standard_mass_g, rules.scheme.standard_mass_g),
        ("unknown", rules.unknown_mass_g, rules.scheme.unknown_mass_g),
    ):
        if not span.holds(mass_g):
            yield (
                f"The {name} to weigh, {mass_g:g} g, is itself outside the plausible "
                f"masses ({span.low:g} to {span.high:g} g): every group would be asked "
                "about it."
            )


def _reagents(rules: ProtocolRules) -> Iterator[str]:
    roles = [reagent.role for reagent in rules.reagents]
    missing = [role for role in ("reductant", "ligand", "buffer") if role not in roles]
    if missing:
        yield f"No reagent has the role of {' or '.join(missing)}."
    if {"reductant", "buffer"} <= set(roles) and roles.index("buffer") < roles.index(
        "reductant"
    ):
        yield (
            "The buffer comes before the reductant: iron is reduced while the "
            "solution is still acid."
        )
