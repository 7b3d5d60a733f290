"""Molar masses and mass fractions from a chemical formula."""

import re
from collections import Counter

#: Abridged standard atomic weights, g/mol: CIAAW 2021 table.  Iron, sulfur,
#: nitrogen, oxygen and hydrogen were checked against the table; the others are
#: quoted from memory of it.
ATOMIC_WEIGHTS = {
    "H": 1.008, "Li": 6.94, "B": 10.81, "C": 12.011, "N": 14.007, "O": 15.999,
    "F": 18.998, "Na": 22.990, "Mg": 24.305, "Al": 26.982, "Si": 28.085,
    "P": 30.974, "S": 32.06, "Cl": 35.45, "K": 39.098, "Ca": 40.078,
    "Ti": 47.867, "Cr": 51.996, "Mn": 54.938, "Fe": 55.845, "Co": 58.933,
    "Ni": 58.693, "Cu": 63.546, "Zn": 65.38, "Br": 79.904, "Ag": 107.87,
    "I": 126.90, "Ba": 137.33,
}  # fmt: skip

_TOKEN = re.compile(r"([A-Z][a-z]?)(\d*)|(\()|\)(\d*)")
_ADDED_PART = re.compile(r"(\d*)(.+)")
_LOWERED_DIGITS = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")


class FormulaError(ValueError):
    """A chemical formula that cannot be read; the message says where."""


def atom_counts(formula: str) -> dict[str, int]:
    """Count the atoms of each element in a formula.

    Parameters
    ----------
    formula : str
        Such as ``"Fe(NH4)2(SO4)2(H2O)6"`` or ``"FeSO4·7H2O"``; a dot, a middle
        dot or an asterisk sets off the water of a hydrate.

    Raises
    ------
    FormulaError
        For an unknown element, an unpaired bracket or a character that has no
        place in a formula.

    Examples
    --------
    >>> atom_counts("FeSO4·7H2O")
    {'Fe': 1, 'S': 1, 'O': 11, 'H': 14}
    """
    total: Counter[str] = Counter()
    plain = re.sub(r"\s", "", formula).translate(_LOWERED_DIGITS)
    for part in re.split(r"[·.*•]", plain):
        match = _ADDED_PART.fullmatch(part)
        if match is None:
            message = f"The formula {formula!r} is empty or has an empty part."
            raise FormulaError(message)
        _add(total, _count_part(match[2], formula), int(match[1] or 1))
    return dict(total)


def molar_mass(formula: str) -> float:
    """Molar mass in g/mol, from abridged standard atomic weights.

    Raises
    ------
    FormulaError
        As for `atom_counts`.

    Examples
    --------
    >>> round(molar_mass("Fe(NH4)2(SO4)2(H2O)6"), 3)
    392.125
    """
    counts = atom_counts(formula)
    return sum(ATOMIC_WEIGHTS[element] * count for element, count in counts.items())


def mass_fraction(formula: str, element: str = "Fe") -> float:
    """Mass of one element in one gram of the compound, g/g.

    Raises
    ------
    FormulaError
        As for `atom_counts`.

    Examples
    --------
    >>> round(mass_fraction("Fe(NH4)2(SO4)2·6H2O"), 5)
    0.14242
    """
    grams = ATOMIC_WEIGHTS.get(element, 0.0) * atom_counts(formula).get(element, 0)
    return grams / molar_mass(formula)


def _count_part(part: str, formula: str) -> Counter[str]:
    open_groups: list[Counter[str]] = [Counter()]
    position = 0
    while position < len(part):
        token = _TOKEN.match(part, position)
        if token is None:
            message = f"{part[position]!r} has no place in the formula {formula!r}."
            raise FormulaError(message)
        _apply(token, open_groups, formula)
        position = token.end()
    if len(open_groups) > 1:
        message = f"The formula {formula!r} has a bracket that is never closed."
        raise FormulaError(message)
    return open_groups[0]


def _apply(token: re.Match[str], open_groups: list[Counter[str]], formula: str) -> None:
    element, count, opening, group_count = token.groups()
    if element:
        if element not in ATOMIC_WEIGHTS:
            message = f"{element!r} in the formula {formula!r} is not a known element."
            raise FormulaError(message)
        open_groups[-1][element] += int(count or 1)
    elif opening:
        open_groups.append(Counter())
    elif len(open_groups) == 1:
        message = f"The formula {formula!r} closes a bracket it never opened."
        raise FormulaError(message)
    else:
        closed = open_groups.pop()
        _add(open_groups[-1], closed, int(group_count or 1))


def _add(total: Counter[str], counts: Counter[str], times: int) -> None:
    for element, count in counts.items():
        total[element] += count * times
