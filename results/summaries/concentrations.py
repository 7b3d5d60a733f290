"""What a group's standards will be, before anything is computed."""

import numpy as np

from results.models import Protocol
from results.policy.protocol import read_protocol
from results.science.dilution import concentrations


def standard_factors(course_code: str) -> dict[str, float]:
    """Return each standard's concentration per gram weighed and millilitre taken.

    Multiplied by a mass in g and a volume in mL it gives mg/L, so that a page can
    place a dot while the numbers are still being typed. Empty without a protocol;
    one query.
    """
    protocol = (
        Protocol.objects.filter(course__code=course_code).order_by("-version").first()
    )
    if protocol is None:
        return {}
    scheme = read_protocol(protocol.document).scheme
    labels = scheme.standard_labels
    per_g_mL = concentrations(scheme, np.ones(1), np.ones((1, len(labels))))[0]
    return dict(zip(labels, per_g_mL.tolist(), strict=True))
