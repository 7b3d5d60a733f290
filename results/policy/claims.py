"""What is said of a station, a lot or a section against the others.

A claim names the size, how sure it is, how many groups it rests on and what was
allowed for; it speaks of the place, never of a person. Fewer than five groups claim
nothing, and what the layout cannot tell apart is said to be so.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

#: Fewer groups than this claim nothing; common practice.
FEWEST_GROUPS = 5
#: A partner with this much in common is named among what else could explain a claim.
MENTION_OVERLAP = 0.5


class Response(StrEnum):
    """What is compared between levels."""

    SLOPE = "slope"
    RECOVERY = "recovery"
    CURVATURE = "curvature"


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """The numbers of a claim; a slope's and a recovery's in percent, a bend's in sd.

    Attributes
    ----------
    factor, level : str
        Such as "station" and "17".
    effect, half_width : float
        Against the other levels, and half of its 95 % interval.
    n, n_set_aside : int
        Groups, and those among them that were given no weight.
    n_others : int
        Other levels of the factor.
    spread : float
        Usual standard deviation between levels.
    allowing_for : tuple of str
        The other factors.
    """

    response: Response
    factor: str
    level: str
    effect: float
    half_width: float
    n: int
    n_set_aside: int
    n_others: int
    spread: float
    allowing_for: tuple[str, ...] = ()


# How a difference is put: subject, and the words for above and below.
_PHRASES: dict[tuple[Response, str], tuple[str, str]] = {
    (Response.SLOPE, "station"): ("{Name} reads", "the other"),
    (Response.SLOPE, "*"): ("Slopes in {name} lie", "those in the other"),
    (Response.RECOVERY, "lot"): (
        "{Name} is found",
        "its assigned value, set against the other",
    ),
    (Response.RECOVERY, "*"): ("Iron contents in {name} lie", "those in the other"),
    (Response.CURVATURE, "*"): ("Lines in {name} bend", "those in the other"),
}
# What follows for marks, where something does or pointedly does not.
_CONSEQUENCE: dict[tuple[Response, str], str] = {
    (Response.SLOPE, "station"): "answers are not affected",
    (Response.RECOVERY, "lot"): "the answers of its groups are marked against a value "
    "that may be wrong",
}
# What else could look like this; for coordinators, most usual first.
_EXPLANATIONS: dict[tuple[Response, str], tuple[str, ...]] = {
    (Response.SLOPE, "station"): (
        "The wavelength dial may be off: check it with a filter of known peak.",
        "Cells of another path length may be kept at this station.",
        "An old lamp or stray light lowers the slope, too: look whether lines bend.",
    ),
    (Response.SLOPE, "section"): (
        "One stock solution may have served the whole section.",
        "An old bottle of reductant or of the colour reagent, or one made up weak.",
        "A balance that several groups used may be out of adjustment.",
    ),
    (Response.SLOPE, "week"): ("A new batch of salt or reagent may have been opened.",),
    (Response.RECOVERY, "lot"): (
        "The key or a label may be wrong: compare it with the make-up book first.",
        "The lot may have taken up moisture or dried: assay it again.",
        "If the spread is wide, too, the lot may have segregated: mix it again.",
    ),
    (Response.RECOVERY, "section"): (
        "One stock solution may have served the whole section.",
        "The handout or the talk before the work may differ from the others'.",
        "A balance that several groups used may be out of adjustment.",
    ),
    (Response.RECOVERY, "station"): (
        "The meter may drift: read a standard again after the unknown.",
        "Its blank may not be read again before the unknown.",
    ),
    (Response.CURVATURE, "station"): (
        "Stray light: check the lid, the lamp's seat and the optics.",
        "Room light may fall into the cell holder.",
    ),
    (Response.CURVATURE, "section"): (
        "The colour reagent may have been too weak for the strongest standards.",
        "The buffer may have been left out or made up weak.",
    ),
}


def claim_sentence(claim: Claim) -> str:
    """Put a difference into words.

    Examples
    --------
    >>> print(claim_sentence(Claim(response=Response.SLOPE, factor="station",
    ...     level="17", effect=3.1, half_width=0.7, n=9, n_set_aside=1, n_others=39,
    ...     spread=0.6, allowing_for=("section",))))
    Station 17 reads 3.1 ± 0.7 % above the other 39 after allowing for sections \
(9 groups, 1 set aside); answers are not affected.
    """
    head, against = _phrase(_PHRASES, claim)
    name = f"{claim.factor} {claim.level}"
    subject = head.format(Name=name[:1].upper() + name[1:], name=name)
    consequence = _CONSEQUENCE.get((claim.response, claim.factor), "")
    return (
        f"{subject} {_size(claim)} {_direction(claim)} {against} {claim.n_others}"
        f"{_allowing(claim.allowing_for)} ({_groups(claim)})"
        f"{'; ' + consequence if consequence else ''}."
    )


def no_difference_sentence(claim: Claim) -> str:
    """Say that a level is like the others, and how well that is known."""
    return (
        f"{_named(claim)} does not differ from the other {claim.n_others} beyond "
        f"chance and the usual spread of {claim.spread:.1f}{_unit(claim)}: "
        f"{_size(claim, signed=True)} ({_groups(claim)})."
    )


def too_few_sentence(claim: Claim) -> str:
    """Say that a level has too few groups for a claim."""
    return (
        f"{_named(claim)}: {_groups(claim)}; fewer than {FEWEST_GROUPS} left to "
        f"compare claim nothing."
    )


def cannot_tell_sentence(claim: Claim, other_factor: str, other_level: str) -> str:
    """Say that a level cannot be told from one of another factor."""
    return (
        f"Cannot tell: something is off by {_size(claim, signed=True)}, but "
        f"{claim.factor} {claim.level} had nearly the same groups as {other_factor} "
        f"{other_level} ({_groups(claim)}). Spread either over the other's to tell "
        f"them apart."
    )


def cannot_separate_sentence(factor: str, other: str) -> str:
    """Say that a contrast is refused because the layout does not link the levels.

    Examples
    --------
    >>> cannot_separate_sentence("room", "section")
    'Cannot separate room from section: no section worked in both.'
    """
    return f"Cannot separate {factor} from {other}: no {other} worked in both."


def explanations(
    response: Response, factor: str, partner: str = "", overlap: float = 0.0
) -> tuple[str, ...]:
    """Return what else could explain a difference.

    Parameters
    ----------
    partner : str
        The level of another factor with most groups in common, such as "lot L2".
    overlap : float
        How nearly both have the same groups, 0 to 1.
    """
    known = _EXPLANATIONS.get((response, factor), ())
    if partner and overlap >= MENTION_OVERLAP:
        return (
            f"Many of these groups also had {partner}: look there, too.",
            *known,
        )
    return known


def rests_on_sentence(factor: str, level: str, effect: float, unit: str) -> str:
    """Say what would be left of a claim without what it rests on most."""
    what = "one group" if factor == "group" else f"{factor} {level}"
    if not math.isfinite(effect):
        return f"Without {what} nothing would be left to claim."
    return f"Without {what} it would be {_signed(effect)}{unit}."


def reassay_sentence(
    lot: str, assigned: float, u_assigned: float, found: float, u_found: float
) -> str:
    """Propose to assay a lot again; iron contents in % by mass.

    Examples
    --------
    >>> reassay_sentence("L3", 12.0, 0.04, 11.724, 0.05)
    'Assay lot L3 again: assigned 12.00 ± 0.08 %, the class finds 11.72 ± 0.10 %.'
    """
    return (
        f"Assay lot {lot} again: assigned {assigned:.2f} ± {2 * u_assigned:.2f} %, "
        f"the class finds {found:.2f} ± {2 * u_found:.2f} %."
    )


def wide_spread_sentence(lot: str, spread: float, usual: float) -> str:
    """Say that the groups of a lot scatter more than usual; in percent."""
    return (
        f"Groups with lot {lot} scatter by {spread:.1f} %, usual is {usual:.1f} %: "
        f"it may have segregated. Mix it again and take new vials."
    )


def moved_sentence(station: str, n_periods: int) -> str:
    """Say that a station left its own history."""
    return (
        f"Station {station} has left its own history of {n_periods} weeks: read a "
        f"check standard before the next section."
    )


def blank_sentence(station: str, latest: float, target: float, unit: str) -> str:
    """Warn of a blank that creeps."""
    return (
        f"Blanks read again at station {station} now average {latest:.3g}{unit} "
        f"instead of {target:g}{unit}: let it warm up, or have its lamp looked at."
    )


def _phrase(
    table: dict[tuple[Response, str], tuple[str, str]], claim: Claim
) -> tuple[str, str]:
    own = table.get((claim.response, claim.factor))
    return own or table[claim.response, "*"]


def _named(claim: Claim) -> str:
    name = f"{claim.factor} {claim.level}"
    return name[:1].upper() + name[1:]


def _size(claim: Claim, *, signed: bool = False) -> str:
    size = _signed(claim.effect) if signed else f"{abs(claim.effect):.1f}"
    return f"{size} ± {claim.half_width:.1f}{_unit(claim)}"


def _unit(claim: Claim) -> str:
    return " sd" if claim.response is Response.CURVATURE else " %"


def _signed(value: float) -> str:
    # Never minus zero.
    return f"{round(value, 1) + 0.0:+.1f}".replace("-", "−")


def _direction(claim: Claim) -> str:
    if claim.response is Response.CURVATURE:
        return "more upwards than" if claim.effect > 0 else "more downwards than"
    return "above" if claim.effect > 0 else "below"


def _allowing(factors: tuple[str, ...]) -> str:
    if not factors:
        return ""
    *most, last = [f"{name}s" for name in factors]
    return f" after allowing for {', '.join(most) + ' and ' if most else ''}{last}"


def _groups(claim: Claim) -> str:
    aside = f", {claim.n_set_aside} set aside" if claim.n_set_aside else ""
    return f"{claim.n} group{'' if claim.n == 1 else 's'}{aside}"
