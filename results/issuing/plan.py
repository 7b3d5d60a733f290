"""A plan for issuing vials, as it is looked at before anything is issued."""

from dataclasses import dataclass

from results.policy.issuing import IssuingWish
from results.science.allocation import FamilyPower


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRow:
    """One group in a plan.

    Attributes
    ----------
    place : int or None
        Place along the benches.
    lot : str
        The key: for coordinators only.
    vial_id : int or None
        The vial to be issued; None for groups that keep theirs.
    vial, former_vial : str
        Label of the vial that it is to have; of the one that it gives back, if any.
    station_id : int or None
        Where the group is sent by this plan; None if that stays as it is.
    station : str
    """

    group_id: int
    group: str
    section_id: int
    section: str
    place: int | None
    lot: str
    vial_id: int | None
    vial: str
    former_vial: str
    station_id: int | None
    station: str


@dataclass(frozen=True, slots=True)
class LotLine:
    """One lot under a plan; `left` is its free vials afterwards."""

    lot: str
    n_groups: int
    n_stations: int
    n_sections: int
    left: int


@dataclass(frozen=True, slots=True)
class StationLine:
    """One station in service under a plan."""

    station: str
    n_groups: int
    n_lots: int


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuePlan:
    """What would be issued, and what the class would then be able to tell.

    Attributes
    ----------
    mark : str
        Changes with whatever the plan rests on.
    rows : tuple of PlanRow
        All groups that hold a vial or are to get one; empty if there is no plan.
    impossible : tuple of str
        Why there is none.
    notes : tuple of str
        What is not as one would wish, without forbidding the plan.
    conflicts : int
        Pairs of neighbours with one lot.
    efficiency : float
        How much of what no layout could exceed is told, 0 to 1.
    cannot_tell : tuple of str
        Differences that the layout leaves untold.
    power : tuple of FamilyPower
        How surely faults of stations, lots and sections would be found.
    power_told : tuple of str
    """

    course: str
    title: str
    wish: IssuingWish
    mark: str
    rows: tuple[PlanRow, ...] = ()
    impossible: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    conflicts: int = 0
    lots: tuple[LotLine, ...] = ()
    stations: tuple[StationLine, ...] = ()
    efficiency: float = 0.0
    cannot_tell: tuple[str, ...] = ()
    power: tuple[FamilyPower, ...] = ()
    power_told: tuple[str, ...] = ()

    @property
    def issued(self) -> tuple[PlanRow, ...]:
        """The groups that are to get a vial."""
        return tuple(row for row in self.rows if row.vial_id is not None)

    @property
    def sent(self) -> tuple[PlanRow, ...]:
        """The groups that are to be sent to a station."""
        return tuple(row for row in self.rows if row.station_id is not None)

    @property
    def n_again(self) -> int:
        """Number of groups that give a vial back for another."""
        return sum(bool(row.former_vial) for row in self.rows)
