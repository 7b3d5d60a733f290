"""Effects as rows of tables: numbers in print, a word and a shape for what is said."""

from dataclasses import dataclass

from frontend.numerals import MINUS, fixed
from results.summaries.effects import EffectLine

_WORDS = {
    "differs": "differs",
    "cannot_tell": "cannot tell",
    "like_the_others": "like the others",
    "too_few": "too few groups",
}


@dataclass(frozen=True, slots=True)
class Printed:
    """One effect in print; dashes where nothing was compared.

    Attributes
    ----------
    effect, median : str
        "+3.1 ± 0.7" and "+3.4 (+2.1 to +4.6)", in percent or, of bends, in sd.
    verdict, word : str
        The shape's name, and what it says.
    """

    effect: str
    median: str
    n: int
    n_set_aside: int
    verdict: str
    word: str


NOTHING = Printed("–", "–", 0, 0, "too_few", "not compared")


def printed(line: EffectLine | None) -> Printed:
    """Put an effect into print."""
    if line is None:
        return NOTHING
    return Printed(
        effect=f"{signed(line.effect)} ± {fixed((line.high - line.low) / 2, 1)}",
        median=_median(line),
        n=line.n,
        n_set_aside=line.n_set_aside,
        verdict=line.verdict,
        word=_WORDS[line.verdict],
    )


def signed(value: float, decimals: int = 1) -> str:
    """Return a number with its sign, zero without.

    Examples
    --------
    >>> signed(3.14), signed(-0.04), signed(-1.26)
    ('+3.1', '0.0', '−1.3')
    """
    text = fixed(value, decimals)
    if not text.strip("0.,"):
        return text
    is_zero = not text.strip(f"{MINUS}0.,")
    return text if is_zero or text.startswith(MINUS) else f"+{text}"


def _median(line: EffectLine) -> str:
    if line.median_low is None or line.median_high is None:
        return "–"
    low, high = signed(line.median_low), signed(line.median_high)
    return f"{signed(line.median)} ({low} to {high})"
