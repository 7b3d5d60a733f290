"""Reads the tolerances of a protocol from its document."""

import math

from results.science.document import NOT_NEGATIVE, DocumentReader, Limits
from results.science.glassware import (
    DEVICES,
    DIVISOR,
    GLASSWARE,
    HANDLING_SD,
    Handling,
    Override,
    Tolerances,
)

#: A standard deviation relative to the value: half the value is no measurement.
SMALL_SHARE = Limits(at_least=0.0, at_most=0.5)


def read_tolerances(root: DocumentReader) -> Tolerances:
    """Read the optional key ``tolerances``.

    Such as::

        {"distribution": "triangular", "glassware": "ISO A", "balance_u_g": 0.0002,
         "handling": {"burette": {"sd_mL": 0.02}, "flask": {"sd_relative": 0.001}},
         "items": [{"device": "flask", "volume_mL": 100, "limit_mL": 0.08},
                   {"device": "pipette", "volume_mL": 10, "u_mL": 0.03}]}

    ``limit_mL`` takes the place of the class limit; ``u_mL``, a standard
    uncertainty, takes the place of limit and handling both.
    """
    if not root.has("tolerances"):
        return Tolerances()
    reader = root.child("tolerances")
    standard = Tolerances()
    distribution = reader.text(
        "distribution", default=standard.distribution, choices=DIVISOR
    )
    glassware = reader.text("glassware", default=standard.glassware, choices=GLASSWARE)
    return Tolerances(
        distribution=distribution,
        glassware=glassware,
        balance_u_g=reader.number(
            "balance_u_g", NOT_NEGATIVE, default=standard.balance_u_g
        ),
        handling=_read_handling(reader),
        overrides=_read_overrides(reader),
    )


def _read_handling(reader: DocumentReader) -> tuple[Handling, ...]:
    if not reader.has("handling"):
        return ()
    devices = reader.child("handling")
    found = []
    for device in devices.names():
        if device not in DEVICES:
            devices.report(f"{device} must be one of {', '.join(DEVICES)}", device)
            continue
        entry, (sd_mL, sd_relative) = devices.child(device), HANDLING_SD[device]
        # One part alone given means that the other is none.
        alone = entry.has("sd_mL") or entry.has("sd_relative")
        found.append(
            Handling(
                device,
                entry.number("sd_mL", NOT_NEGATIVE, default=0.0 if alone else sd_mL),
                entry.number(
                    "sd_relative", SMALL_SHARE, default=0.0 if alone else sd_relative
                ),
            )
        )
    return tuple(found)


def _read_overrides(reader: DocumentReader) -> tuple[Override, ...]:
    found: list[Override] = []
    for item in reader.items("items", required=False):
        if item.has("limit_mL") == item.has("u_mL"):
            item.report("an item needs either limit_mL or u_mL, and not both")
        override = Override(
            device=item.text("device", choices=DEVICES),
            volume_mL=item.number("volume_mL"),
            limit_mL=item.number("limit_mL", NOT_NEGATIVE, default=math.nan),
            u_mL=item.number("u_mL", NOT_NEGATIVE, default=math.nan),
        )
        if any(
            (override.device, override.volume_mL) == (other.device, other.volume_mL)
            for other in found
        ):
            item.report(f"a {override.device} of this volume is listed twice")
        found.append(override)
    return tuple(found)
