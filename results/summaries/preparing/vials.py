"""The vials of a course, by lot, with where each of them is."""

from dataclasses import dataclass
from enum import StrEnum

from results.models import Issue, Lot, Vial
from results.models.courses import coordinated_course
from results.policy.access import Rights


class VialState(StrEnum):
    """Where a vial is."""

    FREE = "free"
    OUT = "with a group"
    BACK = "given back"
    RETIRED = "retired"


@dataclass(frozen=True, slots=True)
class VialLine:
    """One vial; section and group of who has it or had it last."""

    vial: str
    state: VialState
    section: str = ""
    group: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True)
class VialsOfLot:
    """The vials of one lot, by label."""

    lot_id: int
    lot: str
    is_retired: bool
    vials: tuple[VialLine, ...]

    @property
    def key(self) -> str:
        """Number of the lot as a form hands it back."""
        return str(self.lot_id)

    def count(self, state: str) -> int:
        """Return how many vials are in a state."""
        return sum(one.state == state for one in self.vials)

    @property
    def n_free(self) -> int:
        """How many can be given out."""
        return 0 if self.is_retired else self.count(VialState.FREE)

    @property
    def counts(self) -> tuple[tuple[str, int], ...]:
        """How many vials are in each state that some are in."""
        pairs = ((state.value, self.count(state)) for state in VialState)
        return tuple((state, n) for state, n in pairs if n)


@dataclass(frozen=True, slots=True)
class PreparedVials:
    """All vials of a course."""

    course: str
    title: str
    labels_checked: bool
    lots: tuple[VialsOfLot, ...]

    @property
    def n_vials(self) -> int:
        """How many vials the course has."""
        return sum(len(lot.vials) for lot in self.lots)

    @property
    def n_free(self) -> int:
        """How many can be given out."""
        return sum(lot.n_free for lot in self.lots)


def prepared_vials(course_code: str, *, rights: Rights) -> PreparedVials:
    """Return the vials of a course; four queries.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    # Issues in their order: the last one of a vial says where it is.
    issues = {
        issue["vial_id"]: issue
        for issue in Issue.objects.filter(vial__course=course)
        .order_by("issued_at")
        .values("vial_id", "ended_at", "group__code", "group__section__code")
    }
    by_lot: dict[int, list[VialLine]] = {}
    for vial in Vial.objects.filter(course=course).order_by("code"):
        issue = issues.get(vial.pk)
        state = VialState.FREE
        if issue is not None and issue["ended_at"] is None:
            state = VialState.OUT
        elif vial.retired_at is not None:
            state = VialState.RETIRED
        elif issue is not None:
            state = VialState.BACK
        by_lot.setdefault(vial.lot_id, []).append(
            VialLine(
                vial.code,
                state,
                issue["group__section__code"] if issue else "",
                issue["group__code"] if issue else "",
                vial.retired_reason,
            )
        )
    return PreparedVials(
        course.code,
        course.title,
        course.vial_labels_checked,
        tuple(
            VialsOfLot(
                lot.pk,
                lot.code,
                lot.retired_at is not None,
                tuple(by_lot.get(lot.pk, ())),
            )
            for lot in Lot.objects.filter(course=course).order_by("code")
        ),
    )
