"""What a scheme asks for, in arrays: flasks, portions and tubes of either side."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from results.science.dilution import Scheme, parse_scheme
from results.science.scheme import Step, Tube

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SidePlan:
    """The planned way from a weighed powder to the tubes that are read.

    ``flask_mL`` has one more entry than ``take_mL``: the first flask dissolves the
    powder, every later one is filled from a portion of the one before.
    """

    mass_g: float
    flask_mL: tuple[float, ...]
    take_mL: tuple[float, ...]
    take_with: tuple[str, ...]
    tubes: tuple[str, ...]
    tube_take_mL: Array
    tube_with: tuple[str, ...]
    tube_flask_mL: Array

    @property
    def dilutions(self) -> tuple[float, ...]:
        """Portion ÷ flask of each step between the first flask and the tubes."""
        return tuple(
            take / flask
            for take, flask in zip(self.take_mL, self.flask_mL[1:], strict=True)
        )


@dataclass(frozen=True, slots=True)
class Plan:
    """A scheme, ready for arithmetic on whole classes."""

    scheme: Scheme
    standards: SidePlan
    unknown: SidePlan


def read_plan(scheme: Mapping[str, Any]) -> Plan:
    """Read a scheme document.

    Raises
    ------
    SchemeError
        If the document is no scheme; it lists all there is to mend.
    """
    parsed = parse_scheme(scheme)
    return Plan(
        scheme=parsed,
        standards=_side(
            parsed.standard_mass_g, parsed.standard_steps, parsed.standards
        ),
        unknown=_side(parsed.unknown_mass_g, parsed.unknown_steps, parsed.unknowns),
    )


def _side(mass_g: float, steps: Sequence[Step], tubes: Sequence[Tube]) -> SidePlan:
    flask_mL: list[float] = []
    take_mL: list[float] = []
    take_with: list[str] = []
    for step in steps:
        if step.is_take:
            take_mL.append(step.take_mL)
            take_with.append(step.delivery)
            continue
        if len(take_mL) < len(flask_mL):
            # A flask made up further: all of it goes on.
            take_mL.append(flask_mL[-1])
            take_with.append("pipette")
        flask_mL.append(step.make_up_mL)
    return SidePlan(
        mass_g=mass_g,
        flask_mL=tuple(flask_mL),
        take_mL=tuple(take_mL),
        take_with=tuple(take_with),
        tubes=tuple(tube.label for tube in tubes),
        tube_take_mL=np.array([tube.take_mL for tube in tubes]),
        tube_with=tuple(tube.delivery for tube in tubes),
        tube_flask_mL=np.array([tube.make_up_mL for tube in tubes]),
    )
