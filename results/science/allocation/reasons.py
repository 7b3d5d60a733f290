"""Why groups cannot be given what is wished; each reason is a proof but the last."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class NoLotLeft:
    """Nothing is left for one group.

    Attributes
    ----------
    barred, beside, used_up : tuple of int
        Lots that it must not get; of the others, those that a neighbour keeps; of
        the rest, those without a free vial.
    """

    group: int
    barred: tuple[int, ...]
    beside: tuple[int, ...]
    used_up: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class NeighboursClash:
    """Neighbours in a row for whom no choice of lots differs from bench to bench.

    Attributes
    ----------
    groups : tuple of int
        The shortest such row.
    lots : tuple of int
        All that is open to any of them.
    """

    groups: tuple[int, ...]
    lots: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class TooFewVials:
    """Groups that have fewer vials among them than they are many.

    Attributes
    ----------
    groups : tuple of int
        None of them can be left out of the proof.
    lots : tuple of int
        All that is open to any of them.
    n_fitting : int
        Vials that can go to them: one fewer than groups.
    by_neighbours : bool
        Whether it is neighbours, not the count of vials alone, that holds them back.
    """

    groups: tuple[int, ...]
    lots: tuple[int, ...]
    n_fitting: int
    by_neighbours: bool


@dataclass(frozen=True, slots=True)
class NoStation:
    """A section with groups to be sent to a station, and none that it may use."""

    section: int


@dataclass(frozen=True, slots=True)
class NothingFits:
    """Sections that cannot be served together: every way was gone through.

    Attributes
    ----------
    sections : tuple of int
        Without any one of them, the others can be served.
    """

    sections: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Undecided:
    """The search was broken off; whether a plan exists is not known."""


Reason = NoLotLeft | NeighboursClash | TooFewVials | NoStation | NothingFits | Undecided


@dataclass(frozen=True, slots=True)
class Impossible:
    """There is no plan.

    Attributes
    ----------
    reasons : tuple of Reason
        The smallest of the first kind that was proved; at least one.
    """

    reasons: tuple[Reason, ...]
