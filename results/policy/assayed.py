"""What a record of a lot's content comes to, and what is said of it."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from results.policy.assay_boxes import AssayKind
from results.policy.assays import AssayRecord
from results.science.assay import (
    Experience,
    MakeUp,
    Mean,
    Scatter,
    certified,
    made_up,
    mean_of,
)
from results.science.estimates import Component, Estimated, combined
from results.science.homogeneity import Homogeneity, Sameness, homogeneity
from results.science.outlying import Furthest, furthest_out
from results.science.titration import (
    Titrant,
    Titrations,
    iron_percent,
    shared_components,
)

#: What classes scatter by, in percent of the value, unless a person says otherwise.
USUAL_SIGMA_PERCENT = 2.5


@dataclass(frozen=True, slots=True)
class Assayed:
    """A record worked out; iron contents in % by mass.

    Attributes
    ----------
    results : tuple of float
        One of every row, those set aside too.
    furthest : int or None
        The row that counts and lies furthest out, where Grubbs' test tells.
    """

    results: tuple[float, ...]
    estimated: Estimated
    mean: Mean | None = None
    furthest: int | None = None
    test: Furthest | None = None


def work_out(record: AssayRecord, *, u_between: float = 0.0) -> Assayed:
    """Return what a record comes to.

    Parameters
    ----------
    u_between : float
        What differences between vials add, % by mass; 0 to leave them out.
    """
    number = record.number
    extra = (Component("between vials", u_between),) if u_between else ()
    if record.kind is AssayKind.MAKE_UP:
        names = (
            "salt_g", "diluent_g", "iron_fraction", "purity", "u_purity",
            "water_percent", "u_water_percent", "balance_u_g",
        )  # fmt: skip
        found = made_up(MakeUp(**{name: number(name) for name in names}))
        return Assayed((), _with(found, extra))
    if record.kind is AssayKind.CERTIFICATE:
        found = certified(number("iron_percent"), number("expanded"), number("k"))
        return Assayed((), _with(found, extra))
    results, shared = _results(record)
    places = [place for place, row in enumerate(record.rows) if not row.set_aside]
    counted = [results[place] for place in places]
    vials = [record.rows[place].vial for place in places]
    mean = mean_of(counted, vials, _experience(record))
    test = furthest_out(counted)
    return Assayed(
        results,
        combined(mean.value, (mean.component, *shared, *extra)),
        mean,
        None if test is None else places[test.place],
        test,
    )


def _with(found: Estimated, extra: Iterable[Component]) -> Estimated:
    return combined(found.value, (*found.components, *extra))


def _experience(record: AssayRecord) -> Experience | None:
    if record.basis.get("method_sd") is None:
        return None
    df = record.basis.get("method_df")
    return Experience(record.number("method_sd"), math.inf if df is None else float(df))


def _results(
    record: AssayRecord,
) -> tuple[tuple[float, ...], tuple[Component, ...]]:
    """Return the result of every row, and what those that count share."""
    counted = [row for row in record.rows if not row.set_aside]
    if record.kind is AssayKind.PERCENT:
        values = [row.iron_percent or 0.0 for row in counted]
        share = record.number("u_shared_percent") / 100.0
        shared = Component("shared", share * sum(values) / len(values))
        return tuple(row.iron_percent or 0.0 for row in record.rows), (shared,)
    titrations = Titrations(
        Titrant[str(record.basis["titrant"]).upper()],
        *(
            record.number(name)
            for name in (
                "titrant_mol_L", "u_titrant_mol_L", "blank_mL",
                "burette_limit_mL", "balance_u_g",
            )
        ),
    )  # fmt: skip
    every = iron_percent(
        [row.mass_g or math.nan for row in record.rows],
        [row.titre_mL or 0.0 for row in record.rows],
        titrations,
    )
    parts = shared_components(
        [row.mass_g or math.nan for row in counted],
        [row.titre_mL or 0.0 for row in counted],
        titrations,
    )
    return tuple(float(one) for one in every), parts


def to_assign(found: Estimated) -> tuple[float, float]:
    """Return a value and its uncertainty for k = 2, as they are assigned.

    Both to the uncertainty's third significant digit: what is rounded off is no more
    than half a percent of it.

    Examples
    --------
    >>> to_assign(combined(12.0374512, [Component("certificate", 0.0213456)]))
    (12.0375, 0.0213)
    """
    u = found.u_for_two
    if not u > 0.0:
        return round(found.value, 6), u
    places = 2 - math.floor(math.log10(u))
    return round(found.value, places), round(u, places)


def check_vials(record: AssayRecord, *, sigma_percent: float) -> Homogeneity | None:
    """Return whether the vials of a record agree; None if it cannot tell.

    Parameters
    ----------
    sigma_percent : float
        What a class scatters by, in percent of the value.
    """
    if not record.kind.columns:
        return None
    results, _ = _results(record)
    pairs = [
        (value, row.vial)
        for value, row in zip(results, record.rows, strict=True)
        if row.vial and not row.set_aside
    ]
    values, vials = [value for value, _ in pairs], [vial for _, vial in pairs]
    if len(set(vials)) < 2 or len(set(vials)) == len(vials):
        return None
    sigma = sigma_percent / 100.0 * sum(values) / len(values)
    return homogeneity(values, vials, sigma)


def said_of_vials(found: Homogeneity) -> str:
    """Return what a check of homogeneity comes to, as a sentence."""
    share = 100.0 / found.mean
    differ, allowed = found.s_between * share, found.allowed * share
    missed = 100.0 * (1.0 - found.power)
    return {
        Sameness.ENOUGH: f"The vials are alike enough: they differ by {differ:.2f} %, "
        f"{allowed:.2f} % is allowed.",
        Sameness.WITHIN_CHANCE: f"The vials differ by {differ:.2f} %, more than the "
        f"{allowed:.2f} % allowed, but no more than chance explains.",
        Sameness.TOO_MUCH: f"The vials are not alike: they differ by {differ:.2f} %, "
        f"{allowed:.2f} % is allowed.",
        Sameness.TOO_FEW: f"Too few results to tell: {missed:.0f} in 100 such checks "
        f"would miss vials that differ by {allowed:.2f} %.",
        Sameness.NO_SCATTER: "All results are equal: the last digit is too coarse to "
        "show any scatter.",
    }[found.sameness]


def said_of_scatter(mean: Mean) -> str:
    """Return where the scatter of a mean is taken from, as a sentence."""
    return {
        Scatter.OWN: f"s/√n of {mean.n} results; Student’s t makes the small number "
        "good.",
        Scatter.POOLED: "s/√n, with s pooled from these results and the method’s "
        "earlier ones.",
        Scatter.METHOD: "The method’s standard deviation, since one result has none.",
        Scatter.VIALS: f"The {mean.n_vials} vials differ by more than their results "
        "scatter, so the vials’ means are the sample.",
        Scatter.UNKNOWN: "One result says nothing of its scatter. Titrate again, or "
        "give the method’s standard deviation.",
    }[mean.scatter]
