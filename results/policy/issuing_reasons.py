"""Why there is no plan, and what a plan will tell, in sentences for coordinators."""

from collections.abc import Sequence
from dataclasses import dataclass

from results.science.allocation import (
    FactorForesight,
    FamilyPower,
    NeighboursClash,
    NoLotLeft,
    NoStation,
    NothingFits,
    Reason,
    TooFewVials,
)
from results.science.effects.plain import FEWEST

_MOST_NAMED = 6
_CERTAIN = 0.99
_HUNDRED = 100
_ALIKE = 0.01
_NO_VIAL = (
    "No free vial is left of any lot that may be issued. Enter vials, and give their "
    "lots an assigned value."
)


@dataclass(frozen=True, slots=True)
class Names:
    """What groups, lots and sections of a plan are called, by their numbers."""

    groups: Sequence[str]
    lots: Sequence[str]
    sections: Sequence[str]
    n_vials: Sequence[int]


def listed(names: Sequence[str]) -> str:
    """Return names as a list, those after the sixth counted.

    Examples
    --------
    >>> listed(["A", "B", "C"]), listed(list("ABCDEFGH"))
    ('A, B and C', 'A, B, C, D, E, F and 2 more')
    """
    named = list(names[:_MOST_NAMED])
    if len(names) > _MOST_NAMED:
        named.append(f"{len(names) - _MOST_NAMED} more")
    if len(named) < 2:
        return "".join(named)
    return f"{', '.join(named[:-1])} and {named[-1]}"


def why_no_plan(reasons: Sequence[Reason], names: Names) -> tuple[str, ...]:
    """Return a sentence for each reason, or one where all say the same."""
    without = [one for one in reasons if isinstance(one, NoLotLeft)]
    if without and not any(one.barred or one.beside for one in without):
        rest = tuple(one for one in reasons if not isinstance(one, NoLotLeft))
        return (_NO_VIAL, *why_no_plan(rest, names))
    return tuple(_sentence(one, names) for one in reasons)


def _sentence(reason: Reason, names: Names) -> str:
    match reason:
        case NoLotLeft():
            return _no_lot(reason, names)
        case NeighboursClash(groups=groups, lots=lots):
            return (
                f"Neighbours cannot differ: {_groups(groups, names)} stand side by "
                f"side, and of all lots only {_lots(lots, names)} can go to them."
            )
        case TooFewVials():
            return _too_few(reason, names)
        case NoStation(section=section):
            return f"Section {names.sections[section]} has no station in service."
        case NothingFits(sections=sections):
            which = listed([names.sections[one] for one in sections])
            return (
                f"Every way was tried: neighbours, former lots and free vials leave "
                f"none for section{'s' * (len(sections) > 1)} {which}."
            )
    return (
        "No plan was found, and none was ruled out. Free more vials, or plan fewer "
        "sections at once."
    )


def _no_lot(reason: NoLotLeft, names: Names) -> str:
    parts = [
        f"{words} {_lots(lots, names)}"
        for words, lots in (
            ("somebody in it has had", reason.barred),
            ("a neighbour holds", reason.beside),
            ("no free vial is left of", reason.used_up),
        )
        if lots
    ]
    return f"No lot is left for {_groups([reason.group], names)}: {', '.join(parts)}."


def _too_few(reason: TooFewVials, names: Names) -> str:
    n = sum(names.n_vials[lot] for lot in reason.lots)
    told = (
        f"Too few vials: {len(reason.groups)} groups ({_groups(reason.groups, names)}) "
        f"can only get lot{'s' * (len(reason.lots) > 1)} {_lots(reason.lots, names)}, "
        f"of which {n} vial{'s are' if n != 1 else ' is'} free"
    )
    if reason.by_neighbours:
        return f"{told}; with neighbours apart {reason.n_fitting} can be used."
    return f"{told}."


def _groups(groups: Sequence[int], names: Names) -> str:
    return listed([names.groups[one] for one in groups])


def _lots(lots: Sequence[int], names: Names) -> str:
    return listed([names.lots[one] for one in lots])


def in_a_hundred(power: float) -> str:
    """Return a probability as a count of a hundred, never as certain.

    Examples
    --------
    >>> in_a_hundred(0.784), in_a_hundred(1.0), in_a_hundred(0.001)
    ('78 of 100', 'more than 99 of 100', 'fewer than 1 of 100')
    """
    if power > _CERTAIN:
        return "more than 99 of 100"
    if power < 1 - _CERTAIN:
        return "fewer than 1 of 100"
    return f"{_HUNDRED * power:.0f} of 100"


def power_sentence(one: FamilyPower) -> str:
    """Return how surely a fault would be found, and where least."""
    size = f"{abs(one.fault_percent):g} % {'low' if one.fault_percent < 0 else 'high'}"
    told = (
        f"A {one.factor} that reads {size} would be found in {in_a_hundred(one.mean)} "
        f"terms"
    )
    low = float(one.power[one.weakest])
    if one.mean - low < _ALIKE:
        return f"{told}, whichever {one.factor} it is."
    n = int(one.count[one.weakest])
    weakest = f"{one.factor} {one.levels[one.weakest]} ({n} group{'s' * (n != 1)})"
    small = int((one.count < FEWEST).sum())
    if small:
        return (
            f"{told}; never {weakest}: {small} of {len(one.levels)} {one.factor}s "
            f"would have fewer than {FEWEST} groups, too few to be compared."
        )
    return f"{told}; least surely {weakest}: {in_a_hundred(low)}."


def estimable_sentences(one: FactorForesight) -> tuple[str, ...]:
    """Return which differences between levels cannot be told; nothing if all can."""
    if one.is_whole:
        return ()
    said = tuple(
        f"{one.factor.capitalize()}s fall into {len(sets)} sets that no {other} links: "
        f"{'; '.join(listed([str(name) for name in part]) for part in sets[:3])}"
        f"{'; …' if len(sets) > 3 else ''}. A difference between sets could as well be "
        f"one of {other}s."
        for other, sets in one.islands.items()
    )
    if said:
        return said
    n = one.n_levels - 1 - one.n_contrasts
    untold = (
        f"{n} of {one.n_levels - 1} differences between {one.factor}s cannot be told "
        f"from those of the others."
    )
    return (untold,)
