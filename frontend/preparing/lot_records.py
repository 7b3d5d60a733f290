"""One record of a lot in print: its value, its parts, and its results."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from frontend.numerals import decimals_for, fixed, significant, with_uncertainty
from results.policy.assay_boxes import AssayKind
from results.policy.assayed import Assayed, said_of_scatter
from results.summaries.preparing.lots import RecordLine

_PARTS = {
    "scatter": "scatter of the results",
    "titrant": "titrant",
    "burette": "burette",
    "weighing": "weighings",
    "shared": "shared by all results",
    "purity": "purity of the salt",
    "water": "water",
    "certificate": "certificate",
    "between vials": "differences between vials",
}
_FAR_OUT = {
    "straggler": "a straggler",
    "outlier": "an outlier",
}


@dataclass(frozen=True, slots=True)
class PartLine:
    """One part of an uncertainty, in % by mass, and its share of the square."""

    name: str
    u: str
    df: str
    share: str


@dataclass(frozen=True, slots=True)
class ResultLine:
    """One result in print."""

    place: int
    vial: str
    typed: str
    iron_percent: str
    set_aside: str
    remark: str

    @property
    def key(self) -> str:
        """Its place as a form hands it back."""
        return str(self.place)


@dataclass(frozen=True, slots=True)
class RecordView:
    """One record in print; `said` tells what stands behind its value."""

    line: RecordLine
    value: str
    said: str
    parts: tuple[PartLine, ...]
    results: tuple[ResultLine, ...]
    far_out: str
    has_titres: bool

    @property
    def key(self) -> str:
        """Number of the record as a form hands it back."""
        return str(self.line.assay_id)


def record_view(line: RecordLine) -> RecordView:
    """Put a record that stands into print."""
    assayed = line.assayed
    assert assayed is not None  # noqa: S101 - records that stand have a value
    found = assayed.estimated
    places = decimals_for(found.u) + 1
    return RecordView(
        line=line,
        value=with_uncertainty(found.value, found.expanded)
        if found.expanded > 0
        else fixed(found.value, 3),
        said=" ".join(_said(assayed, places)),
        parts=tuple(
            PartLine(
                _PARTS[part.name],
                fixed(part.u, places + 1) if math.isfinite(part.u) else "not known",
                _df(part.df),
                f"{100 * part.u**2 / found.u**2:.0f} %" if found.u > 0 else "–",
            )
            for part in found.components
            if part.u != 0.0
        ),
        results=_results(line),
        far_out=_far_out(line),
        has_titres=line.kind is AssayKind.TITRATION,
    )


def _said(assayed: Assayed, places: int) -> Iterator[str]:
    """Say how many results there are, how they scatter, and what that comes to."""
    found, mean = assayed.estimated, assayed.mean
    if mean is not None:
        sd = "" if math.isnan(mean.sd) else f", s {fixed(mean.sd, places)} %"
        yield f"n = {mean.n}{sd}. {said_of_scatter(mean)}"
    if not found.is_known:
        yield "Until then its uncertainty is not known, and it cannot be assigned."
        return
    yield (
        f"Combined standard uncertainty {fixed(found.u, places)} %, ν = "
        f"{_df(found.df)}, k = {fixed(found.k, 2)} for 95 %; to be assigned, so that "
        f"twice of it covers 95 %: {fixed(found.u_for_two, places)} %."
    )


def _df(df: float) -> str:
    if math.isnan(df):
        return "–"
    return "∞" if df > 1000 else significant(df, 3)


def _results(line: RecordLine) -> tuple[ResultLine, ...]:
    assayed = line.assayed
    assert assayed is not None  # noqa: S101 - as above
    remark = ""
    if assayed.test is not None:
        remark = _FAR_OUT.get(str(assayed.test.standing), "")
    return tuple(
        ResultLine(
            place + 1,
            row.vial,
            "" if row.titre_mL is None else f"{row.mass_g:g} g, {row.titre_mL:g} mL",
            fixed(value, 3),
            row.set_aside,
            remark if place == assayed.furthest else "",
        )
        for place, (value, row) in enumerate(
            zip(assayed.results, line.record.rows, strict=True)
        )
    )


def _far_out(line: RecordLine) -> str:
    """Say which result lies far out, and that it counts until a person decides."""
    assayed = line.assayed
    if assayed is None or assayed.test is None or assayed.furthest is None:
        return ""
    test = assayed.test
    name = _FAR_OUT.get(str(test.standing))
    if name is None:
        return ""
    return (
        f"Result {assayed.furthest + 1} is {name}: Grubbs’ statistic "
        f"{fixed(test.statistic, 3)}, limits {fixed(test.straggler_limit, 3)} at 5 % "
        f"and {fixed(test.outlier_limit, 3)} at 1 % (ISO 5725-2). It counts unless "
        "you set it aside, for a reason that can be found at the bench."
    )
