"""Limits of volumetric glassware, and what a volume is uncertain by."""

from dataclasses import dataclass

import numpy as np

#: Divisor that turns a symmetric limit into a standard deviation (JCGM 100:2008,
#: 4.3.7 and 4.3.9).
DIVISOR = {"triangular": 6.0**0.5, "rectangular": 3.0**0.5}
#: Every volume is delivered with one of these, or filled up in a flask.
DEVICES = (
    "flask",
    "pipette",
    "graduated pipette",
    "piston pipette",
    "burette",
    "cylinder",
)

#: Standard deviation of one filling in students' hands: an absolute part in mL and
#: a part relative to the volume.  Judgement, from student pipette calibrations (sd
#: 0.05 to 0.11 mL at 10 mL) and two burette readings of 0.05 mL each.
HANDLING_SD = {
    "flask": (0.0, 0.003),
    "pipette": (0.0, 0.006),
    "graduated pipette": (0.01, 0.010),
    "piston pipette": (0.0, 0.008),
    "burette": (0.07, 0.0),
    "cylinder": (0.0, 0.02),
}

FROM_MEMORY = "quoted from memory of the standard; check before relying on it"
PARTLY_CHECKED = "checked for part of the sizes, the others quoted from memory"
JUDGEMENT = "judgement, not a standard"
SETTING = "set by this protocol"


@dataclass(frozen=True, slots=True)
class LimitTable:
    """Limits ±mL at 20 °C of one device in one class, by nominal volume."""

    standard: str
    nominal_mL: tuple[float, ...]
    limit_mL: tuple[float, ...]
    provenance: str = FROM_MEMORY

    def limit_at(self, volume_mL: float, *, whole: bool) -> float:
        """Give the limit of a volume, ±mL.

        Parameters
        ----------
        volume_mL : float
        whole : bool
            Whether the volume is the device's own size (a flask, a transfer
            pipette): limits of sizes between two listed ones are interpolated,
            beyond the last they grow in proportion.  Otherwise a part is taken of
            the smallest device that holds it, whose limit holds all along its
            scale; beyond the largest it is filled again.
        """
        largest_mL = self.nominal_mL[-1]
        times = max(1.0, volume_mL / largest_mL)
        if whole:
            between = np.interp(volume_mL, self.nominal_mL, self.limit_mL)
            return float(between) * times
        place = int(np.searchsorted(self.nominal_mL, volume_mL))
        return float(self.limit_mL[min(place, len(self.limit_mL) - 1)] * np.sqrt(times))


_FLASKS_ISO = (10.0, 25.0, 50.0, 100.0, 200.0, 250.0, 500.0, 1000.0)
_PIPETTES = (1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 25.0, 50.0)
_FLASK_A = (0.025, 0.04, 0.06, 0.10, 0.15, 0.15, 0.25, 0.40)
_FLASK_ASTM_A = (0.02, 0.03, 0.05, 0.08, 0.10, 0.12, 0.20, 0.30)
_PIPETTE_A = (0.008, 0.010, 0.015, 0.020, 0.025, 0.030, 0.030, 0.050)
_PIPETTE_B = (0.015, 0.020, 0.030, 0.040, 0.05, 0.060, 0.060, 0.100)
_PIPETTE_ASTM_A = (0.006, 0.006, 0.01, 0.02, 0.03, 0.03, 0.03, 0.05)


def _doubled(limits: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(2.0 * limit for limit in limits)


_GRADUATED = (1.0, 2.0, 5.0, 10.0)
# ISO 8655-2 allows a systematic error in percent of the nominal volume.
_PISTON = LimitTable(
    "ISO 8655-2, systematic error",
    (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 5.0, 10.0),
    (0.00012, 0.0002, 0.0005, 0.0008, 0.0016, 0.004, 0.008, 0.04, 0.06),
    PARTLY_CHECKED,
)
_CYLINDER = LimitTable(
    "ISO 4788 class B",
    (10.0, 25.0, 50.0, 100.0, 250.0, 500.0),
    (0.2, 0.5, 1.0, 1.0, 2.0, 5.0),
)
# A 50 mL burette is on every bench; smaller ones are a setting of the protocol.
_BURETTE_ISO = {
    "A": LimitTable("ISO 385 class A", (50.0,), (0.05,), PARTLY_CHECKED),
    "B": LimitTable("ISO 385 class B", (50.0,), (0.10,), PARTLY_CHECKED),
}
_BURETTE_ASTM = {
    "A": LimitTable("ASTM E287 class A", (50.0,), (0.05,)),
    "B": LimitTable("ASTM E287 class B", (50.0,), (0.10,)),
}

#: The limits in each class of glassware a protocol may name.
GLASSWARE: dict[str, dict[str, LimitTable]] = {
    "ISO A": {
        "flask": LimitTable("ISO 1042 class A", _FLASKS_ISO, _FLASK_A),
        "pipette": LimitTable("ISO 648 class A", _PIPETTES, _PIPETTE_A),
        "graduated pipette": LimitTable(
            "ISO 835 class A", _GRADUATED, (0.007, 0.010, 0.030, 0.050)
        ),
        "piston pipette": _PISTON,
        "burette": _BURETTE_ISO["A"],
        "cylinder": _CYLINDER,
    },
    "ISO B": {
        "flask": LimitTable("ISO 1042 class B", _FLASKS_ISO, _doubled(_FLASK_A)),
        "pipette": LimitTable("ISO 648 class B", _PIPETTES, _PIPETTE_B),
        "graduated pipette": LimitTable(
            "ISO 835 class B", _GRADUATED, (0.010, 0.020, 0.050, 0.100)
        ),
        "piston pipette": _PISTON,
        "burette": _BURETTE_ISO["B"],
        "cylinder": _CYLINDER,
    },
    "ASTM A": {
        "flask": LimitTable(
            "ASTM E288 class A", _FLASKS_ISO, _FLASK_ASTM_A, PARTLY_CHECKED
        ),
        "pipette": LimitTable(
            "ASTM E969 class A", _PIPETTES, _PIPETTE_ASTM_A, PARTLY_CHECKED
        ),
        "graduated pipette": LimitTable(
            "ISO 835 class A", _GRADUATED, (0.007, 0.010, 0.030, 0.050)
        ),
        "piston pipette": _PISTON,
        "burette": _BURETTE_ASTM["A"],
        "cylinder": _CYLINDER,
    },
    "ASTM B": {
        "flask": LimitTable("ASTM E288 class B", _FLASKS_ISO, _doubled(_FLASK_ASTM_A)),
        "pipette": LimitTable(
            "ASTM E969 class B", _PIPETTES, _doubled(_PIPETTE_ASTM_A), PARTLY_CHECKED
        ),
        "graduated pipette": LimitTable(
            "ISO 835 class B", _GRADUATED, (0.010, 0.020, 0.050, 0.100)
        ),
        "piston pipette": _PISTON,
        "burette": _BURETTE_ASTM["B"],
        "cylinder": _CYLINDER,
    },
}


@dataclass(frozen=True, slots=True)
class Handling:
    """Scatter of filling one device: in mL, and relative to the volume."""

    device: str
    sd_mL: float
    sd_relative: float


@dataclass(frozen=True, slots=True)
class Override:
    """What a protocol says itself of one device at one volume.

    Either ``limit_mL``, in place of the class limit, or ``u_mL``, a standard
    uncertainty in place of limit and handling both; the other is NaN.
    """

    device: str
    volume_mL: float
    limit_mL: float
    u_mL: float


@dataclass(frozen=True, slots=True)
class Tolerances:
    """The settings behind every type B uncertainty of a protocol.

    Attributes
    ----------
    distribution : {"triangular", "rectangular"}
        What a limit stands for.
    glassware : str
        A key of `GLASSWARE`.
    balance_u_g : float
        Standard uncertainty of one weighing by difference.
    handling : tuple of Handling
        Where a protocol departs from `HANDLING_SD`.
    overrides : tuple of Override
    """

    distribution: str = "triangular"
    glassware: str = "ISO A"
    balance_u_g: float = 0.0002
    handling: tuple[Handling, ...] = ()
    overrides: tuple[Override, ...] = ()

    def handling_of(self, device: str) -> Handling:
        """Give the scatter of filling a device that is in force."""
        for handling in self.handling:
            if handling.device == device:
                return handling
        return Handling(device, *HANDLING_SD[device])

    def override_of(self, device: str, volume_mL: float) -> Override | None:
        """Give what the protocol says of a device at a volume, if it does."""
        for override in self.overrides:
            if (override.device, override.volume_mL) == (device, volume_mL):
                return override
        return None

    def limit_mL(self, device: str, volume_mL: float) -> float:
        """Limit in force, ±mL; NaN where a standard uncertainty is given instead."""
        override = self.override_of(device, volume_mL)
        if override is not None:
            return override.limit_mL
        table = GLASSWARE[self.glassware][device]
        return table.limit_at(volume_mL, whole=device in {"flask", "pipette"})

    def handling_sd_mL(self, device: str, volume_mL: float) -> float:
        """Scatter of filling the device to a volume, mL."""
        handling = self.handling_of(device)
        return float(np.hypot(handling.sd_mL, handling.sd_relative * volume_mL))

    def fixed_sd_mL(self, device: str, volume_mL: float) -> float:
        """Give the part of a volume's uncertainty that all of a scale shares, mL."""
        override = self.override_of(device, volume_mL)
        if override is not None and not np.isnan(override.u_mL):
            return override.u_mL
        of_glass = self.limit_mL(device, volume_mL) / DIVISOR[self.distribution]
        return float(np.hypot(of_glass, self.handling_of(device).sd_mL))

    def proportional_sd(self, device: str, volume_mL: float) -> float:
        """Give the part that grows with the volume, relative to it."""
        override = self.override_of(device, volume_mL)
        stated = override is not None and not np.isnan(override.u_mL)
        return 0.0 if stated else self.handling_of(device).sd_relative

    def standard_uncertainty_mL(self, device: str, volume_mL: float) -> float:
        """Combine the limit and the filling of a volume, mL.

        Examples
        --------
        >>> careful = Tolerances(handling=(Handling("flask", 0.0, 0.0),))
        >>> round(careful.standard_uncertainty_mL("flask", 100.0), 4)
        0.0408
        """
        proportional_mL = self.proportional_sd(device, volume_mL) * volume_mL
        return float(np.hypot(self.fixed_sd_mL(device, volume_mL), proportional_mL))
