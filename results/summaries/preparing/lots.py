"""The lots of a course, and all that is known of one."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Q

from results.models import Assay, Course, Lot, Vial
from results.models.courses import coordinated_course
from results.policy.access import Rights
from results.policy.assay_boxes import AssayKind
from results.policy.assayed import Assayed, check_vials, said_of_vials, work_out
from results.policy.assays import AssayRecord
from results.policy.refusals import NotFound
from results.science.assay import agreement
from results.science.homogeneity import Homogeneity
from results.summaries.value_preview import LotHistory, PastValue, lot_histories


@dataclass(frozen=True, slots=True)
class LotLine:
    """One lot in the list: its value now, its vials and its records."""

    lot_id: int
    lot: str
    value: PastValue | None
    n_free: int
    n_out: int
    n_vials: int
    n_records: int
    retired_at: datetime | None
    retired_reason: str


@dataclass(frozen=True, slots=True)
class PreparedLots:
    """All lots of a course, by code."""

    course: str
    title: str
    lots: tuple[LotLine, ...]

    @property
    def in_use(self) -> tuple[LotLine, ...]:
        """Those that are not retired."""
        return tuple(lot for lot in self.lots if lot.retired_at is None)


@dataclass(frozen=True, slots=True)
class RecordLine:
    """One record of a lot, worked out unless it was withdrawn.

    Attributes
    ----------
    reason : str
        Why it replaces another one.
    stands : bool
        Whether no other replaces it and it was not withdrawn.
    """

    assay_id: int
    replaces_id: int | None
    kind: AssayKind
    record: AssayRecord
    assayed: Assayed | None
    reason: str
    by_name: str
    entered_at: datetime
    stands: bool


@dataclass(frozen=True, slots=True)
class VialsChecked:
    """Whether vials are alike, from one record."""

    assay_id: int
    found: Homogeneity
    sentence: str
    record: AssayRecord
    assayed: Assayed


@dataclass(frozen=True, slots=True)
class Agreement:
    """Two records of one lot held against each other."""

    one: RecordLine
    other: RecordLine
    zeta: float


@dataclass(frozen=True, slots=True)
class LotSheet:
    """All that is known of one lot.

    Attributes
    ----------
    standing, former : tuple of RecordLine
        Records that hold, the newest first, and those replaced or withdrawn.
    """

    course: str
    title: str
    history: LotHistory
    retired_at: datetime | None
    retired_reason: str
    standing: tuple[RecordLine, ...]
    former: tuple[RecordLine, ...]
    vials: VialsChecked | None
    agreements: tuple[Agreement, ...]

    @property
    def standing_ids(self) -> frozenset[int]:
        """Numbers of the records that hold."""
        return frozenset(one.assay_id for one in self.standing)

    def record(self, assay_id: int) -> RecordLine:
        """Return a record that stands.

        Raises
        ------
        NotFound
            None of that number does.
        """
        for one in self.standing:
            if one.assay_id == assay_id:
                return one
        message = "There is no such record of this lot, or another one replaced it."
        raise NotFound(message)


def prepared_lots(course_code: str, *, rights: Rights) -> PreparedLots:
    """Return the lots of a course; six queries.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    values = {
        one.lot_id: one.values[0] if one.values else None
        for one in lot_histories(course_code, rights=rights).lots
    }
    vials = _vials_by_lot(course)
    standing = Q(assays__replaced_by__isnull=True) & ~Q(
        assays__kind=AssayKind.WITHDRAWN.value
    )
    lots = (
        Lot.objects.filter(course=course)
        .annotate(n_records=Count("assays", filter=standing))
        .order_by("code")
    )
    return PreparedLots(
        course.code,
        course.title,
        tuple(
            LotLine(
                lot.pk,
                lot.code,
                values.get(lot.pk),
                *vials.get(lot.pk, (0, 0, 0)),
                lot.n_records,
                lot.retired_at,
                lot.retired_reason,
            )
            for lot in lots
        ),
    )


def _vials_by_lot(course: Course) -> dict[int, tuple[int, int, int]]:
    """Return of each lot how many vials are free, out with groups, and all."""
    rows = (
        Vial.objects.filter(course=course)
        .values("lot_id")
        .annotate(
            free=Count(
                "pk",
                filter=Q(issues__isnull=True, retired_at__isnull=True),
                distinct=True,
            ),
            out=Count("issues", filter=Q(issues__ended_at__isnull=True), distinct=True),
            every=Count("pk", distinct=True),
        )
        .values_list("lot_id", "free", "out", "every")
    )
    return {lot_id: (free, out, every) for lot_id, free, out, every in rows}


def lot_sheet(
    course_code: str, lot_id: int, *, sigma_percent: float, rights: Rights
) -> LotSheet:
    """Return all that is known of one lot; six queries.

    Parameters
    ----------
    sigma_percent : float
        What a class scatters by, in percent of the value: what vials are held to.

    Raises
    ------
    NotFound
        The viewer coordinates no such course, or it has no such lot.
    """
    histories = lot_histories(course_code, rights=rights)
    history = next((one for one in histories.lots if one.lot_id == lot_id), None)
    if history is None:
        message = "There is no such lot in this course."
        raise NotFound(message)
    lot = Lot.objects.get(pk=lot_id)
    records = _records(lot_id)
    standing = tuple(one for one in records if one.stands)
    return LotSheet(
        course=histories.course,
        title=histories.title,
        history=history,
        retired_at=lot.retired_at,
        retired_reason=lot.retired_reason,
        standing=standing,
        former=tuple(one for one in records if not one.stands),
        vials=_vials_checked(standing, sigma_percent),
        agreements=tuple(_agreements(standing)),
    )


def _records(lot_id: int) -> list[RecordLine]:
    assays = list(
        Assay.objects.filter(lot_id=lot_id)
        .prefetch_related("results")
        .order_by("-made_at", "-pk")
    )
    replaced = {assay.replaces_id for assay in assays}
    return [_line(assay, assay.pk in replaced) for assay in assays]


def _line(assay: Assay, is_replaced: bool) -> RecordLine:  # noqa: FBT001
    record = assay.record
    is_withdrawn = record.kind is AssayKind.WITHDRAWN
    return RecordLine(
        assay_id=assay.pk,
        replaces_id=assay.replaces_id,
        kind=record.kind,
        record=record,
        assayed=None if is_withdrawn else work_out(record),
        reason=assay.reason,
        by_name=assay.by_name,
        entered_at=assay.entered_at,
        stands=not is_replaced and not is_withdrawn,
    )


def _vials_checked(
    standing: Iterable[RecordLine], sigma_percent: float
) -> VialsChecked | None:
    """Return the newest check of vials."""
    for one in standing:
        found = check_vials(one.record, sigma_percent=sigma_percent)
        if found is not None and one.assayed is not None:
            return VialsChecked(
                one.assay_id, found, said_of_vials(found), one.record, one.assayed
            )
    return None


def _agreements(standing: tuple[RecordLine, ...]) -> Iterable[Agreement]:
    for place, one in enumerate(standing):
        for other in standing[place + 1 :]:
            if one.assayed is not None and other.assayed is not None:
                zeta = agreement(one.assayed.estimated, other.assayed.estimated)
                yield Agreement(one, other, zeta)


def lot_called(course_code: str, code: str, *, rights: Rights) -> int:
    """Return the number of a lot by its code.

    Raises
    ------
    NotFound
        The viewer coordinates no such course, or it has no such lot.
    """
    course = coordinated_course(course_code, rights=rights)
    lot = Lot.objects.filter(course=course, code=code).first()
    if lot is None:
        message = f"There is no lot {code} in this course."
        raise NotFound(message)
    return lot.pk
