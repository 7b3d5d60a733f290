"""The water of a hydrate's formula."""

import re

_WATER = re.compile(r"\(H2O\)\d*|[·.*•]\s*\d*H2O")
_LOWERED = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")


def dried(formula: str) -> str:
    """Return a formula without its water of crystallisation; empty if it has none.

    Examples
    --------
    >>> dried("FeSO4·7H2O"), dried("FeCl3")
    ('FeSO4', '')
    """
    plain = formula.translate(_LOWERED)
    dry = _WATER.sub("", plain)
    return dry if dry != plain else ""
