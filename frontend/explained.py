"""An answer's computation in words: its title, its limits and its tests."""

from collections.abc import Iterator
from dataclasses import dataclass

from frontend.budgets import limited_by
from frontend.numerals import fixed, significant, with_uncertainty
from results.explaining import Explanation

# Usual level of a test; common practice.
_LEVEL = 0.05
# Of the iron(II) complex; from memory.
_LITERATURE = (
    "Literature: 11 100 L/(mol cm) at 508 nm (Fortune and Mellon 1938, quoted "
    "from memory)."
)


@dataclass(frozen=True, slots=True)
class Fact:
    """One number about an answer, and what it says."""

    term: str
    value: str
    note: str


def headline(explanation: Explanation) -> str:
    """Return the answer and what limits it, in a sentence."""
    half = (explanation.high - explanation.low) / 2
    answer = with_uncertainty(explanation.iron_percent, half)
    return f"{answer} % iron, {limited_by(explanation.sources)}"


def facts_of(explanation: Explanation) -> tuple[Fact, ...]:
    """Return everything beside the answer that a chemist asks for."""
    return (
        *_interval(explanation),
        *_limits(explanation),
        _absorptivity(explanation),
        *_tests(explanation),
    )


def _interval(explanation: Explanation) -> Iterator[Fact]:
    df = significant(explanation.effective_df, 3)
    yield Fact(
        "coverage factor",
        fixed(explanation.coverage_factor, 2),
        f"Student’s t for 95 % and {df} effective degrees of freedom "
        "(Welch–Satterthwaite formula).",
    )
    yield Fact(
        "scatter",
        significant(explanation.details.get("moderated_phi"), 3),
        f"The class of {explanation.class_n} groups lends its scatter. "
        "One is a group that scatters as declared."
        if explanation.class_n
        else "Own scatter only. One is a group that scatters as declared.",
    )
    yield Fact(
        "Fieller’s g",
        significant(explanation.details.get("fieller_g"), 2),
        "Above 0.05: Fieller’s interval is given, which need not be symmetric."
        if explanation.uses_fieller
        else "Up to 0.05 the symmetric interval is as good as Fieller’s, and is given.",
    )


def _limits(explanation: Explanation) -> Iterator[Fact]:
    for name, what in (
        ("detection", "Less than this cannot be told from none."),
        ("quantification", "From here on a number says more than “some”."),
    ):
        in_tube = significant(explanation.details.get(f"{name}_limit_mg_L"), 2)
        in_solid = significant(explanation.details.get(f"{name}_limit_percent"), 2)
        yield Fact(
            f"{name} limit", f"{in_tube} mg/L", f"In the powder {in_solid} %. {what}"
        )


def _absorptivity(explanation: Explanation) -> Fact:
    value = explanation.details.get("molar_absorptivity")
    se = explanation.details.get("molar_absorptivity_se")
    printed = "–" if value is None or se is None else with_uncertainty(value, se)
    return Fact(
        "molar absorptivity",
        f"{printed} L/(mol cm)",
        f"± one standard uncertainty. {_LITERATURE}",
    )


def _tests(explanation: Explanation) -> Iterator[Fact]:
    for name, term, found, not_found, untested in (
        (
            "mandel",
            "Mandel’s test",
            "The points follow a curve better than a line.",
            "No bend can be told.",
            "Not tested: a curve needs four standards or more.",
        ),
        (
            "lack_of_fit",
            "lack of fit",
            "The points lie further from the line than repeated readings explain.",
            "The points lie as near the line as repeated readings allow.",
            "Not tested: no tube was read twice.",
        ),
    ):
        f = explanation.details.get(f"{name}_f")
        p = explanation.details.get(f"{name}_p")
        if f is None or p is None:
            yield Fact(term, "–", untested)
            continue
        value = f"F = {significant(f, 3)}, p = {significant(p, 2)}"
        yield Fact(term, value, found if p < _LEVEL else not_found)
