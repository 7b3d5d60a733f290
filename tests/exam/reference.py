"""Invented classes of the reference experiment, one labelled slip at a time.

Standards by burette, 1 to 5 mL to 50 mL; the spreads are those of the reference
simulation the targets were set with: careful pairs, one noise for all.  It shares no
code with the project's own simulator.
"""

from dataclasses import dataclass, field

import numpy as np

from results.science.answer import Readings
from results.science.dilution import parse_scheme
from tests.exam.slips import SLIPS

MOLAR_MASS, IRON = 392.14, 55.845
ABSORPTIVITY = 11_100 / (IRON * 1000)
FLASK_SD = {50: 0.05, 100: 0.08, 200: 0.10, 250: 0.12}
DELIVERY_SD = {"pipette": 0.03, "burette": 0.02}


@dataclass
class Design:
    """How the class is set up."""

    takes: tuple[float, ...] = (1, 2, 3, 4, 5)
    with_: str = "burette"
    unknowns: int = 3
    step: float = 0.5
    sd: float = 0.2
    tails: bool = False
    salt: tuple[float, float, float] = (100, 10, 100)
    powder: tuple[float, float, float] = (250, 10, 100)
    unknown_take: float = 10
    salt_g: float = 0.28
    powder_g: float = 0.20
    tube_mL: float = 50
    lots: int = 6
    stations: int = 30
    delivery_factor: float = 1.0
    size_factor: float = 1.0
    absorbance: bool = False

    def scheme(self):
        """Scheme of the design, as data."""
        first, take, second = self.salt
        unknown_first, unknown_take, unknown_second = self.powder
        return parse_scheme(
            {
                "analyte": "Fe",
                "wavelength_nm": 510,
                "path_cm": 1.0,
                "standard": {
                    "formula": "Fe(NH4)2(SO4)2(H2O)6",
                    "purity": 1.0,
                    "purity_u": 0.003,
                    "mass_g": self.salt_g,
                    "steps": [
                        {"make_up_mL": first},
                        {"take_mL": take, "with": "pipette"},
                        {"make_up_mL": second},
                    ],
                },
                "standards": [
                    {
                        "tube": str(i),
                        "take_mL": taken,
                        "with": self.with_,
                        "make_up_mL": self.tube_mL,
                    }
                    for i, taken in enumerate(self.takes, start=1)
                ],
                "unknown": {
                    "mass_g": self.powder_g,
                    "steps": [
                        {"make_up_mL": unknown_first},
                        {"take_mL": unknown_take, "with": "pipette"},
                        {"make_up_mL": unknown_second},
                    ],
                    "tubes": [
                        {
                            "tube": f"U{i}",
                            "take_mL": self.unknown_take,
                            "with": "pipette",
                            "make_up_mL": self.tube_mL,
                        }
                        for i in range(1, self.unknowns + 1)
                    ],
                },
                "reading": {"scale": "percent_T", "step": self.step, "sd": 0.25},
            }
        )


@dataclass
class Bench:
    """The work of N groups; slips change it before it is read or typed."""

    design: Design
    rng: np.random.Generator
    c: np.ndarray
    u: np.ndarray
    absorptivity: np.ndarray
    zero: np.ndarray
    stray: np.ndarray
    salt_g: np.ndarray
    powder_g: np.ndarray
    percent_T: np.ndarray | None = None
    typed_A: np.ndarray | None = None
    tube: list = field(default_factory=list)


@dataclass
class Draw:
    """A class: readings, truth labels, and what the class context needs."""

    scheme: object
    readings: Readings
    slip: np.ndarray
    tube: list
    station: np.ndarray
    lot: np.ndarray
    assigned: np.ndarray


def draw_class(rng, groups, design=None, slipped=0.25, names=None):
    """Draw a class in which a share of the groups made one slip each.

    ``names`` are the slips to draw from; all of them if not given.
    """
    design = design or Design()
    names = list(SLIPS if names is None else names)
    bench, station, lot, percent = _work(rng, groups, design)
    slip = np.full(groups, "", dtype=object)
    slip[rng.random(groups) < slipped] = "?"
    chosen = np.flatnonzero(slip == "?")
    slip[chosen] = rng.choice(names, len(chosen))
    bench.tube = [""] * groups
    for row in chosen:
        SLIPS[slip[row]].on_bench(bench, row)
    read(bench)
    for row in chosen:
        SLIPS[slip[row]].in_typing(bench, row)
    return Draw(
        scheme=design.scheme(),
        readings=_typed(bench),
        slip=slip,
        tube=bench.tube,
        station=station,
        lot=lot,
        assigned=percent[lot],
    )


def _work(rng, groups, design):
    normal = rng.standard_normal
    station = rng.integers(0, design.stations, groups)
    lot = rng.integers(0, design.lots, groups)
    percent = np.linspace(8, 16, design.lots)
    meter = np.exp(0.01 * normal(design.stations))
    salt_g = np.round(design.salt_g * rng.uniform(0.93, 1.07, groups), 4)
    powder_g = np.round(design.powder_g * rng.uniform(0.93, 1.07, groups), 4)
    real_salt = salt_g + 0.0002 * normal(groups)
    real_powder = powder_g + 0.0002 * normal(groups)
    purity = 1.0 + 0.003 * normal(groups)
    first = (
        real_salt
        * purity
        * 1e6
        * IRON
        / MOLAR_MASS
        / _flask(rng, groups, design.salt[0])
    )
    working = first * _take(rng, groups, design.salt[1], "pipette", design)
    working /= _flask(rng, groups, design.salt[2])
    c = np.stack(
        [
            working
            * _take(rng, groups, take, design.with_, design)
            / _flask(rng, groups, design.tube_mL)
            for take in design.takes
        ],
        axis=1,
    )
    content = percent[lot] / 100 * np.exp(0.003 * normal(groups))
    first = real_powder * content * 1e6 / _flask(rng, groups, design.powder[0])
    second = first * _take(rng, groups, design.powder[1], "pipette", design)
    second /= _flask(rng, groups, design.powder[2])
    u = np.stack(
        [
            second
            * _take(rng, groups, design.unknown_take, "pipette", design)
            / _flask(rng, groups, design.tube_mL)
            for _ in range(design.unknowns)
        ],
        axis=1,
    )
    bench = Bench(
        design,
        rng,
        c,
        u,
        ABSORPTIVITY * meter[station],
        0.001 * normal(groups),
        np.zeros(groups),
        salt_g,
        powder_g,
    )
    return bench, station, lot, percent


def _flask(rng, groups, mL):
    return mL + FLASK_SD.get(mL, 0.001 * mL) * rng.standard_normal(groups)


def _take(rng, groups, mL, device, design):
    sd = DELIVERY_SD[device] * (design.delivery_factor if device == "burette" else 1.0)
    if device == "pipette":
        sd *= mL / 10
    return mL + sd * rng.standard_normal(groups)


def read(bench):
    """Read the meter: stray light, zero, noise, rounding."""
    design, rng = bench.design, bench.rng
    c = np.concatenate([bench.c, bench.u], axis=1)
    light = 10.0 ** -(bench.absorptivity[:, None] * c)
    stray = bench.stray[:, None]
    light = (light + stray) / (1 + stray) * 10.0 ** -bench.zero[:, None]
    percent_T = 100 * light
    noise = rng.standard_normal(c.shape)
    if design.tails:
        noise = rng.standard_t(4, c.shape) / np.sqrt(2)
    percent_T = percent_T + noise * np.sqrt(design.sd**2 + (0.003 * percent_T) ** 2)
    if design.absorbance:
        percent_T = np.clip(percent_T, 0.1, 110)
        bench.typed_A = np.round(2 - np.log10(percent_T), 3)
        bench.percent_T = 100 * 10**-bench.typed_A
        return
    percent_T = np.round(percent_T / design.step) * design.step
    bench.percent_T = np.clip(percent_T, design.step, 110)


def _typed(bench):
    groups, n = bench.c.shape
    design = bench.design
    values = bench.typed_A if design.absorbance else bench.percent_T
    return Readings(
        standard_mass_g=bench.salt_g,
        unknown_mass_g=bench.powder_g,
        standard_taken_mL=np.tile(np.array(design.takes, float), (groups, 1)),
        unknown_taken_mL=np.full((groups, design.unknowns), float(design.unknown_take)),
        standard_signal=values[:, :n, None].copy(),
        unknown_signal=values[:, n:, None].copy(),
        is_absorbance=np.full(groups, design.absorbance),
    )
