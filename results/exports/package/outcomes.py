"""Tables of what was computed, found, graded and assigned."""

from collections.abc import Callable, Iterator
from typing import Any

from results.exports.package.columns import Column, Kind, Reference, Table
from results.exports.package.records import (
    AT_ONCE,
    GROUP,
    IN_SUBMISSIONS,
    OF_SUBMISSION,
    by_group,
    current,
    group_columns,
    numeric,
    rows_of,
    text,
    whole,
)
from results.models import Answer, AssignedValue, AssignedValues, Finding, Grade, Lot
from results.models.outcomes import Audience
from results.policy.findings import wording
from results.policy.marking import PartName

_ANSWERED = (
    ("slope", "slope of the line, L/mg"),
    ("slope_se", "its standard error, L/mg"),
    ("intercept", "intercept of the line, absorbance"),
    ("intercept_se", "its standard error, absorbance"),
    ("residual_sd", "residual standard deviation, absorbance"),
    ("r_squared", "coefficient of determination, no unit"),
    ("unknown_mg_L", "iron in the unknown's tubes, mg/L"),
    ("iron_percent", "iron content, % by mass"),
    ("standard_uncertainty", "its standard uncertainty, % by mass"),
    ("low", "lower end of its 95 % interval, % by mass"),
    ("high", "upper end of its 95 % interval, % by mass"),
)
ANSWERS = Table(
    "answers",
    "What was computed from the readings",
    (
        *group_columns(OF_SUBMISSION),
        text("method", "method", "version of the computation"),
        text("no_answer_because", "reason", "code of the reason; empty if computed"),
        whole("n_standards", "n_standards", "standards used"),
        whole("n_unknowns", "n_unknowns", "tubes of the unknown used"),
        *(numeric(name, name, about) for name, about in _ANSWERED),
    ),
    GROUP,
    rows_of(current(Answer), *by_group(OF_SUBMISSION)),
    IN_SUBMISSIONS,
)


def _title(code: str) -> str:
    return wording(code).title


def _findings(name: str, title: str, audience: Audience) -> Table:
    return Table(
        name,
        title,
        (
            *group_columns(OF_SUBMISSION),
            whole("number", "pk", "number of the finding", required=True),
            text("code", "code", "code of the finding", required=True),
            text("title", "code", "the finding in a few words", read=_title),
            text("tube", "tube", "tube concerned; empty if no single one"),
            text("stage", "stage", "step of the working concerned, if any"),
            Column("harmless", Kind.BOOLEAN, "harmless", "whether it costs nothing"),
            numeric("probability", "probability", "how sure, from 0 to 1"),
        ),
        ("number",),
        rows_of(current(Finding, audience=audience), *by_group(OF_SUBMISSION), "pk"),
        IN_SUBMISSIONS,
    )


FINDINGS = _findings("findings", "What groups are told", Audience.GROUP)
STAFF_FINDINGS = _findings(
    "staff_findings",
    "What staff are told, which may rest on assigned values",
    Audience.STAFF,
)


def _points_of(part: str) -> Callable[[list[dict[str, Any]]], float | None]:
    def read(parts: list[dict[str, Any]]) -> float | None:
        found = (one["points"] for one in parts if one["name"] == part)
        points = next(found, None)
        return None if points is None else float(points)

    return read


GRADES = Table(
    "grades",
    "Grades, one a group",
    (
        *group_columns("group__"),
        text("state", "state", "draft, accepted or released", required=True),
        *(
            numeric(
                part.value,
                "final_parts",
                f"points for {part.value.replace('_', ' ')}; empty for drafts",
                read=_points_of(part.value),
            )
            for part in PartName
        ),
        numeric("suggested_points", "suggested_points", "points suggested"),
        numeric("final_points", "final_points", "points set; empty for drafts"),
        numeric("max_points", "max_points", "most points", required=True),
        Column("set_by_hand", Kind.BOOLEAN, "is_override", "whether a person set it"),
        Column("accepted_at", Kind.DATETIME, "accepted_at", "when, UTC"),
        Column("released_at", Kind.DATETIME, "released_at", "when, UTC"),
        whole("scheme_version", "scheme__version", "version of the grading scheme"),
        text("accepted_by", "accepted_by__username", "who accepted it", is_name=True),
        text("reason", "reason", "why it differs from the suggestion", is_name=True),
        text("comment", "comment", "what the group is told", is_name=True),
    ),
    GROUP,
    rows_of(
        lambda pk: Grade.objects.filter(group__section__course=pk), *by_group("group__")
    ),
    (Reference(GROUP, "groups"),),
)
ASSIGNED_VALUES = Table(
    "assigned_values",
    "Values assigned to lots; staff only",
    (
        text("lot", "lot__code", "code of the lot", required=True),
        Column("valid_from", Kind.DATETIME, "valid_from", "since when, UTC"),
        whole("number", "pk", "number of the value", required=True),
        numeric("iron_percent", "iron_percent", "iron content, % by mass"),
        numeric("u_iron_percent", "u_iron_percent", "standard uncertainty, % by mass"),
        text("reason", "reason", "why", is_name=True),
        text("by", "assigned_by__username", "who", is_name=True),
    ),
    ("number",),
    rows_of(
        lambda pk: AssignedValue.objects.filter(lot__course=pk),
        "lot__code",
        "valid_from",
    ),
)


def _recoveries(course_id: int, paths: tuple[str, ...]) -> Iterator[tuple[Any, ...]]:
    """Yield answers over the values that held when readings came in; three queries."""
    lots = Lot.objects.filter(course=course_id).values_list("pk", flat=True)
    values = AssignedValues(lots)
    query = current(Answer, submission__vial__isnull=False)(course_id)
    for *shown, lot_id, moment, iron in (
        query.order_by(*by_group(OF_SUBMISSION))
        .values_list(
            *paths[:-1],
            "submission__vial__lot_id",
            "submission__received_at",
            "iron_percent",
        )
        .iterator(chunk_size=AT_ONCE)
    ):
        assigned = values.at(lot_id, moment)
        ratio = None
        if iron is not None and assigned is not None:
            ratio = iron / assigned.iron_percent
        yield (*shown, ratio)


RECOVERIES = Table(
    "recoveries",
    "Answers against assigned values; staff only",
    (
        *group_columns(OF_SUBMISSION),
        text("lot", "submission__vial__lot__code", "code of the lot"),
        numeric("recovery", "", "computed over assigned iron content, no unit"),
    ),
    GROUP,
    _recoveries,
    IN_SUBMISSIONS,
)
