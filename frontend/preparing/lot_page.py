"""The page of one lot, laid out: what is known, what it comes to, what to press."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from frontend.numerals import fixed, significant, with_uncertainty
from frontend.preparing.lot_pictures import (
    ContentPicture,
    VialsPicture,
    content_picture,
    vials_picture,
)
from frontend.preparing.lot_records import RecordView, record_view
from frontend.preparing.record_form import KINDS, in_box
from frontend.pressed import Answered
from results.policy.assay_boxes import AssayKind
from results.policy.assayed import USUAL_SIGMA_PERCENT
from results.policy.numbers import NotANumber, read_number
from results.policy.values import NewValue
from results.summaries.preparing.lots import Agreement, LotSheet, RecordLine

_MOST_SIGMA = 50.0
_OF_VALUE = ("preview", "assign")


@dataclass(frozen=True, slots=True, kw_only=True)
class LotAnswer(Answered):
    """What came of a press: a value with who would change by it, or a refusal."""

    value: NewValue | None = None


@dataclass(frozen=True, slots=True)
class Sigma:
    """What vials are held to, as typed and as it is used."""

    typed: str
    percent: float
    problem: str = ""


def sigma_typed(typed: Mapping[str, str]) -> Sigma:
    """Return what a class scatters by, in percent, or the usual figure."""
    text = typed.get("sigma", "").strip()
    if not text:
        return Sigma("", USUAL_SIGMA_PERCENT)
    try:
        percent = read_number(text)
    except NotANumber as error:
        return Sigma(text, USUAL_SIGMA_PERCENT, str(error))
    if not 0 < percent <= _MOST_SIGMA:
        said = f"Give percent, above 0 to {_MOST_SIGMA:g}."
        return Sigma(text, USUAL_SIGMA_PERCENT, said)
    return Sigma(text, percent)


@dataclass(frozen=True, slots=True)
class LotPage:
    """Everything on the page."""

    sheet: LotSheet
    headline: str
    records: tuple[RecordView, ...]
    picture: ContentPicture | None
    vials: VialsPicture | None
    vial_numbers: tuple[tuple[str, str], ...]
    agreements: tuple[str, ...]
    kinds: tuple[AssayKind, ...]
    sigma: Sigma
    usual_sigma: float
    answer: LotAnswer
    typed: Mapping[str, str]
    wrong: Mapping[str, str]
    chosen: int
    reason: str
    then: str


def lot_page(
    sheet: LotSheet,
    sigma: Sigma,
    typed: Mapping[str, str],
    answer: LotAnswer,
    *,
    now: datetime,
) -> LotPage:
    """Lay the page out."""
    names = ("deed", "place", "why", "reason", "valid_from", "assay")
    kept = {name: typed.get(name, "") for name in names}
    kept["valid_from"] = kept["valid_from"] or in_box(now)
    # Whoever has pressed nothing yet means to count what vials differ by.
    kept["with_vials"] = "yes" if "with_vials" in typed or not kept["deed"] else ""
    chosen = int(kept["assay"]) if kept["assay"].isdecimal() else 0
    if not kept["deed"] and sheet.standing:
        chosen = sheet.standing[0].assay_id
    suggested = reason_for(sheet.standing[0]) if sheet.standing else ""
    return LotPage(
        sheet=sheet,
        headline=_headline(sheet, answer),
        records=tuple(record_view(one) for one in sheet.standing),
        picture=content_picture(sheet),
        vials=None if sheet.vials is None else vials_picture(sheet.vials),
        vial_numbers=_vial_numbers(sheet),
        agreements=tuple(_agreement(one) for one in sheet.agreements),
        kinds=KINDS,
        sigma=sigma,
        usual_sigma=USUAL_SIGMA_PERCENT,
        answer=answer,
        typed=kept,
        wrong={str(one.where[0]): one.message for one in answer.problems},
        chosen=chosen,
        reason=kept["reason"] if kept["deed"] in _OF_VALUE else suggested,
        then=_then(answer.value),
    )


def _then(value: NewValue | None) -> str:
    if value is None:
        return ""
    return (
        f"{significant(value.iron_percent, 9)} %, standard uncertainty "
        f"{significant(value.u_iron_percent, 3)} %"
    )


def reason_for(line: RecordLine) -> str:
    """Return what is said of a value that rests on a record, to be edited."""
    made_at = timezone.localtime(line.record.made_at)
    day = f"{made_at.day} {made_at:%B %Y}"
    n = f", {len(line.record.rows)} results" if line.record.rows else ""
    return f"{line.kind.label} of {day}{n}"


def _headline(sheet: LotSheet, answer: LotAnswer) -> str:
    name = f"Lot {sheet.history.lot}"
    if answer.preview is not None and answer.value is not None:
        n = len(answer.preview.movers)
        return (
            f"{n} of {answer.preview.n_groups} groups would change by this value"
            if n
            else "This value would change no grade"
        )
    if not sheet.history.values:
        return f"{name} has no value yet"
    now = sheet.history.values[0]
    said = with_uncertainty(now.iron_percent, 2 * now.u_iron_percent)
    return f"{name} holds {said} % iron"


def _agreement(one: Agreement) -> str:
    first, second = (line.kind.label.split(",")[0] for line in (one.one, one.other))
    if math.isnan(one.zeta):
        return f"{first} and {second.lower()}: cannot tell, an uncertainty is missing."
    size = abs(one.zeta)
    said = "agree"
    if size >= 3:
        said = "contradict each other"
    elif size > 2:
        said = "hardly agree"
    return (
        f"{first} and {second.lower()} {said}: zeta {fixed(one.zeta, 1)} "
        "(beyond ±2 a question, beyond ±3 a signal; ISO 13528)."
    )


def _vial_numbers(sheet: LotSheet) -> tuple[tuple[str, str], ...]:
    if sheet.vials is None:
        return ()
    found = sheet.vials.found

    def percent(value: float) -> str:
        return f"{fixed(100 * value / found.mean, 3)} %"

    return (
        ("vials, results", f"{found.n_vials}, {found.n_results}"),
        ("between vials, s_bb", percent(found.s_between)),
        ("at least, by what the check could miss", percent(found.u_hidden)),
        ("counts as u_bb", percent(found.u_between)),
        ("repeatability", percent(found.s_within)),
        ("allowed, 0.3 σ_pt", percent(found.allowed)),
        ("allowed with chance", percent(found.expanded_limit)),
        ("F", f"{significant(found.f_ratio, 3)}, p {significant(found.p_value, 2)}"),
        ("chance to notice what is allowed", f"{100 * found.power:.0f} %"),
    )
