"""A calculation written down line by line, for a person with a calculator."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CalculationStep:
    """One line of a calculation.

    Attributes
    ----------
    part : str
        The section of the calculation it belongs to.
    title : str
        What is worked out.
    formula, numbers : str
        Plain text: with symbols, and the same with the numbers put in.
    value : float
    unit : str
        Empty for a bare number.
    note : str
        Source or reason, where there is something to say.
    """

    part: str
    title: str
    formula: str
    numbers: str
    value: float
    unit: str
    note: str = ""


class Ledger:
    """Collects the steps of one calculation."""

    def __init__(self) -> None:
        self.steps: list[CalculationStep] = []
        self.part = ""

    def write(
        self, title: str, formula: str, numbers: str, result: tuple[float, str],
        note: str = "",
    ) -> float:  # fmt: skip
        """Write a step down and hand its value on.

        Parameters
        ----------
        title, formula, numbers, note
            As in `CalculationStep`.
        result : tuple of float and str
            Value and unit.
        """
        value, unit = result
        step = CalculationStep(self.part, title, formula, numbers, value, unit, note)
        self.steps.append(step)
        return value


def put(value: float) -> str:
    """Write a number to nine digits, in brackets if it is negative.

    Examples
    --------
    >>> put(0.1), put(-2.5), put(1.25e-7)
    ('0.1', '(-2.5)', '1.25 × 10^(-7)')
    """
    text = f"{value:.9g}"
    if "e" in text:
        digits, exponent = text.split("e")
        sign = "-" if exponent.startswith("-") else ""
        power = exponent.lstrip("+-0")
        text = f"{digits} × 10^({sign}{power})"
        return f"({text})" if digits.startswith("-") else text
    return f"({text})" if text.startswith("-") else text


def add_up(terms: Sequence[str]) -> str:
    """Write a sum.

    Examples
    --------
    >>> add_up(["1", "2"])
    '1 + 2'
    """
    return " + ".join(terms)
