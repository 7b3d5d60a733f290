"""What the diagnosis assumes before it looks: scatter, slip sizes, slip rates.

Every number here is judgement or memory of ordinary teaching laboratories, not a
count: no measured slip frequencies were found.  A course should put its own counts in
their place.  Doubling or halving any one rate moves the probability of that slip only
where the readings leave it open; the scatter matters most, which is why several levels
of care are tried and a class says which of them its groups work at, and how many slip.
"""

from collections.abc import Mapping
from dataclasses import dataclass

#: Before a class has shown its own share, three groups in four have made no slip.
CLEAN = 0.75
#: Before looking at two slips at once: they happen independently.
MOST_FINDINGS = 3
#: A group is told something only if "no slip" is less likely than this.
FLAG_BELOW = 0.5
#: An explanation less likely than this is not mentioned.
MENTION_ABOVE = 0.05
#: Share of a code's probability that makes a way to it worth naming.
NAME_ABOVE = 0.10


@dataclass(frozen=True, slots=True)
class CareLevel:
    """How much a pair scatters, from a careful one to a very rough one.

    ``reading`` multiplies the declared reading sd; ``zero_sd`` is in absorbance;
    ``cell_sd`` is what placing the cell adds, in absorbance; ``delivery`` gives an
    absolute part in mL and a relative part; ``flask`` is relative.
    """

    weight: float
    reading: float
    zero_sd: float
    cell_sd: float
    flask: float
    delivery: Mapping[str, tuple[float, float]]


#: Student pipette calibrations give 0.03 to 0.1 mL at 10 mL; a burette delivery is two
#: readings of 0.01 to 0.05 mL; the glass itself (ISO 648, 385, 1042) is better.
CARE_LEVELS = (
    CareLevel(
        weight=0.5,
        reading=0.9,
        zero_sd=0.0015,
        cell_sd=0.0,
        flask=0.0010,
        delivery={
            "pipette": (0.0, 0.003),
            "graduated pipette": (0.005, 0.008),
            "piston pipette": (0.0, 0.006),
            "burette": (0.02, 0.0),
            "cylinder": (0.0, 0.015),
        },
    ),
    CareLevel(
        weight=0.32,
        reading=1.4,
        zero_sd=0.0025,
        cell_sd=0.002,
        flask=0.0025,
        delivery={
            "pipette": (0.0, 0.005),
            "graduated pipette": (0.01, 0.012),
            "piston pipette": (0.0, 0.008),
            "burette": (0.05, 0.0),
            "cylinder": (0.0, 0.02),
        },
    ),
    CareLevel(
        weight=0.11,
        reading=2.4,
        zero_sd=0.0045,
        cell_sd=0.004,
        flask=0.0050,
        delivery={
            "pipette": (0.0, 0.010),
            "graduated pipette": (0.02, 0.025),
            "piston pipette": (0.0, 0.012),
            "burette": (0.10, 0.0),
            "cylinder": (0.0, 0.04),
        },
    ),
    CareLevel(
        weight=0.04,
        reading=3.3,
        zero_sd=0.006,
        cell_sd=0.0055,
        flask=0.0075,
        delivery={
            "pipette": (0.0, 0.014),
            "graduated pipette": (0.03, 0.035),
            "piston pipette": (0.0, 0.017),
            "burette": (0.15, 0.0),
            "cylinder": (0.0, 0.055),
        },
    ),
    CareLevel(
        weight=0.03,
        reading=4.5,
        zero_sd=0.008,
        cell_sd=0.008,
        flask=0.0100,
        delivery={
            "pipette": (0.0, 0.020),
            "graduated pipette": (0.04, 0.050),
            "piston pipette": (0.0, 0.025),
            "burette": (0.20, 0.0),
            "cylinder": (0.0, 0.08),
        },
    ),
)
#: "Something, but none of these": every tube this many times rougher than rough.
UNEXPLAINED_SCALES = (3.0, 9.0)
UNEXPLAINED_CHAIN_SD = 0.3
#: Rounding of a meter that shows absorbance.
ABSORBANCE_STEP = 0.001
#: Balance, and spread between vials of one lot; relative sds.
BALANCE_SD_G = 0.0002
VIAL_SD = 0.003
#: Scatter of the class-wide references when nothing better is given.
LITERATURE_SD = 0.08
NO_REFERENCE_SD = 1.0
#: Share of groups whose own iron content a slip has spoiled, the share of those that
#: lie far off, and relative sds of either kind.
LOT_SPOILED, LOT_FAR = 0.15, 0.5
LOT_NEAR_SD, LOT_FAR_SD = 0.12, 1.5
#: Spread of the lots of a course at least, relative sd.
LOT_SPREAD = 0.2
#: A reference for the iron content looser than this tells no two tubes apart.
LOOSE_REFERENCE = 0.1
#: Plan and weighing: beyond this share of the plan a mass is out of the ordinary.
MASS_MARGIN = 0.12
#: Chance that an ordinary weighing lies that near to another power of ten of the plan
#: all the same: one in a hundred lies beyond the margin, few of those just there.
MASS_DECADE = 0.0005
#: A reading off the steps of its scale, unless digits were swapped.
OFF_STEP = 1e-3
#: Transmittance, in steps of the scale, at which a needle has reached its end.
FLOOR_STEPS = 2.0
#: Absorbance that a tube must really have to read as black as that.
BLACK_ABSORBANCE = 1.5

#: Weighted sum of squared residuals below which only the short look is taken: no
#: slip that needs the long one (exchanges, typing, whole factors) could be likely.
NEAR = 10.0
#: Log of a level of care's share in a class below which it is not tried.
LEAST_CARE = -5.5
#: First level of care so rough that readings near the model cannot come from it.
ROUGH = 3
#: How much worse than clean work, for its number of tubes, the best single slip must
#: fit before two at once are looked for; in units of log density.
PAIR_DEFICIT = 12.0
#: Weight of the assumed levels of care against a class's own, in groups.
CARE_GROUPS = 1.5
#: Weight of the assumed share of slips against a class's own: in groups, and for each
#: group of the class, however large, as a group alone shows only the larger slips.
SLIP_GROUPS, SLIP_SHARE = 20.0, 1.0

#: Usual pipettes and flasks give these ratios when taken for one another.
WRONG_VESSEL = (0.2, 0.25, 0.4, 0.5, 0.8, 1.25, 2.0, 2.5, 4.0, 5.0)

#: How often each shape of slip is met, relative to one another.  Shapes are what the
#: readings can tell apart; the catalogue lists the deeds behind each.  One is worth
#: about one group in a hundred; small losses and single bad standards are met most
#: often, though the weakest of them do not show.
RATES: Mapping[str, float] = {
    "tube_fill": 1.5,
    "tube_step": 1.0,
    "tube_wrong": 1.5,
    "tube_far": 0.15,
    "tube_pale": 1.0,
    "tube_dark": 0.2,
    "tube_uncoloured": 0.8,
    "volume_typed": 0.2,
    "digits_swapped": 1.1,
    "tens_misread": 0.5,
    "decimal_shifted": 0.3,
    "swap": 1.0,
    "swap_unknown": 0.1,
    "shifted": 0.1,
    "standards_loss": 2.0,
    "standards_gain": 0.5,
    "standards_far": 0.05,
    "standards_factor": 0.6,
    "salt_mass_digits": 0.15,
    "unknown_mass_digits": 0.15,
    "salt_mass_decimal": 0.5,
    "unknown_mass_decimal": 0.5,
    "salt_mass_nominal": 0.65,
    "unknown_mass_nominal": 0.65,
    "scale_one": 0.5,
    "scale_all": 0.5,
    "meter_low": 1.0,
    "meter_far": 0.1,
    "meter_high": 0.1,
    "zero_high": 0.55,
    "zero_low": 0.55,
    "stray": 1.0,
    "plateau": 0.1,
    "unknown_loss": 3.0,
    "unknown_gain": 0.4,
    "unknown_far": 0.1,
    "unknown_factor": 1.0,
    "unknown_tube": 0.8,
    "unknown_tube_far": 0.1,
    "unknown_pale": 0.15,
    "unknown_uncoloured": 0.2,
    "unknown_dark": 0.05,
    "unexplained": 0.4,
}

#: Relative sizes, (low, high), each equally likely over its range.
SIZES: Mapping[str, tuple[tuple[float, float], ...]] = {
    "tube_fill": ((-0.10, -0.02), (0.02, 0.10)),
    "tube_wrong": ((-0.25, -0.10), (0.10, 0.25)),
    "tube_pale": ((-0.60, -0.10),),
    "tube_far": ((-0.97, -0.25), (0.25, 2.0)),
    "unknown_tube": ((-0.15, -0.03), (0.03, 0.15)),
    "unknown_tube_far": ((-0.97, -0.15), (0.15, 2.0)),
    "unknown_pale": ((-0.60, -0.15),),
    "standards_loss": ((-0.20, -0.02),),
    "standards_gain": ((0.02, 0.20),),
    "unknown_loss": ((-0.20, -0.02),),
    "unknown_gain": ((0.02, 0.20),),
    "standards_far": ((-0.95, -0.20), (0.20, 4.0)),
    "unknown_far": ((-0.95, -0.20), (0.20, 4.0)),
    "meter_low": ((-0.40, -0.07),),
    "meter_far": ((-0.98, -0.40),),
    "meter_high": ((0.06, 0.20),),
}
#: Sizes in absorbance.
DARKER = (0.01, 0.10)
ZERO_OFFSET = (0.01, 0.06)
#: Stray light as a share of the beam, and the share its curve is drawn at.
STRAY = (0.01, 0.05)
STRAY_DRAWN_AT = 0.025
#: Share of the strongest standard's iron that the ligand can colour.
PLATEAUS = (0.5, 0.6, 0.7, 0.8)
#: One burette or pipette mark, mL.
VOLUME_STEP_ML = 1.0
