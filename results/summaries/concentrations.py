"""What a phone needs to place its dots and its line, before anything is sent."""

from dataclasses import dataclass, field

import numpy as np

from results.models import Protocol
from results.policy.protocol import read_protocol
from results.science.budget import tube_fill
from results.science.dilution import Reading, Scheme, concentrations


@dataclass(frozen=True, slots=True)
class StandardRules:
    """One standard.

    Attributes
    ----------
    factor : float
        mg/L for each gram weighed and millilitre taken.
    flask, fixed_mL2, proportional : float
        Variances of its filling: relative, of the volume in mL², relative; see
        `results.science.budget.TubeFill`.
    """

    factor: float
    take_mL: float
    flask: float
    fixed_mL2: float
    proportional: float


@dataclass(frozen=True, slots=True)
class LineRules:
    """What the line of a course's protocol is computed with; empty without one.

    Attributes
    ----------
    reading : Reading or None
        Scale, step and scatter of the meter, as the protocol declares them.
    use_blank : bool
        Whether the blank is a point of the line.
    """

    standards: dict[str, StandardRules] = field(default_factory=dict)
    reading: Reading | None = None
    use_blank: bool = False


def line_rules(course_code: str) -> LineRules:
    """Return what a phone computes a group's line with; one query.

    It holds nothing of any group, and of the unknown nothing at all.
    """
    protocol = (
        Protocol.objects.filter(course__code=course_code).order_by("-version").first()
    )
    if protocol is None:
        return LineRules()
    return rules_of(read_protocol(protocol.document).scheme)


def rules_of(scheme: Scheme) -> LineRules:
    """Return what a phone computes a line with under a scheme."""
    fill = tube_fill(scheme, scheme.standards)
    per_g_mL = concentrations(scheme, np.ones(1), np.ones((1, len(scheme.standards))))
    rows = zip(
        per_g_mL[0].tolist(),
        scheme.standard_take_mL.tolist(),
        fill.flasks.tolist(),
        fill.fixed.tolist(),
        fill.proportional.tolist(),
        strict=True,
    )
    standards = dict(
        zip(scheme.standard_labels, (StandardRules(*row) for row in rows), strict=True)
    )
    return LineRules(standards, scheme.reading, scheme.use_blank)
