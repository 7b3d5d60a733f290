"""What a diagnosis hands on."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing noticed about one submission.

    Attributes
    ----------
    row : int
        Place of the submission in the batch.
    code : str
        What was noticed.
    tube : str
        Label of the tube, two labels joined by a comma for an exchange, or empty.
    probability : float
        How sure this is, between 0 and 1.
    numbers : mapping
        The figures behind it, each with its unit in its name.
    members : tuple of str
        Names of the deeds that would look like this, most usual first; they cannot
        be told apart by the readings.
    """

    row: int
    code: str
    tube: str
    probability: float
    numbers: Mapping[str, float]
    members: tuple[str, ...] = ()
