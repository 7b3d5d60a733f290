"""A plan for issuing vials, drawn: benches with their lots, and what can be told."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from results.issuing import IssuePlan, PlanRow
from results.policy.issuing_reasons import in_a_hundred

#: Outlines in a square of 30; every lot has a letter of its own besides.
SHAPES = (
    "M15 2a13 13 0 1 0 .01 0z",
    "M4 4h22v22h-22z",
    "M15 .5 29.5 15 15 29.5 .5 15z",
    "M8.5 3h13l7.5 12-7.5 12h-13L1 15z",
    "M15 1 28.5 11 23.5 27.5h-17L1.5 11z",
    "M2 3h26v13l-13 12.5L2 16z",
    "M9.5 2h11l7.5 7.5v11L20.5 28h-11L2 20.5v-11z",
    "M15 1.5 28 8.5v17H2v-17z",
)
# Wider than this, only places in use get a column.
_MOST_COLUMNS = 60
_BAR_WIDTH, _ROW_HEIGHT = 200, 30


@dataclass(frozen=True, slots=True)
class LotSign:
    """How a lot is drawn."""

    letter: str
    shape: str


@dataclass(frozen=True, slots=True)
class Bench:
    """One place along the benches; without a row where nobody stands."""

    row: PlanRow | None = None
    sign: LotSign | None = None


@dataclass(frozen=True, slots=True)
class BenchRow:
    """The benches of one section."""

    section: str
    benches: tuple[Bench, ...]


@dataclass(frozen=True, slots=True)
class LotKey:
    """One lot in the legend."""

    sign: LotSign
    lot: str
    n_groups: int
    n_stations: int
    n_sections: int
    left: int


@dataclass(frozen=True, slots=True)
class PowerBar:
    """How surely a fault of one factor is found, as a bar of up to 200."""

    name: str
    y: int
    mean: float
    weakest: float
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPage:
    """Everything that is drawn of a plan.

    Attributes
    ----------
    columns : tuple of int
        Places along the benches.
    placeless : tuple of Bench
        Groups whose place is not known.
    ranges : tuple of (str, str)
        What is crossed with what, and from how many to how many.
    """

    plan: IssuePlan
    headline: str
    columns: tuple[int, ...]
    rows: tuple[BenchRow, ...]
    placeless: tuple[Bench, ...]
    lots: tuple[LotKey, ...]
    ranges: tuple[tuple[str, str], ...]
    efficiency: str
    bars: tuple[PowerBar, ...]
    bars_height: int


def plan_page(plan: IssuePlan) -> PlanPage:
    """Lay a plan out."""
    signs = {one.lot: _sign(n) for n, one in enumerate(plan.lots)}
    places = _places(plan.rows)
    used = sorted(set(places.values()))
    wide = used and used[-1] - used[0] >= _MOST_COLUMNS
    columns = tuple(used if wide or not used else range(used[0], used[-1] + 1))
    bars = tuple(_bars(plan))
    return PlanPage(
        plan=plan,
        headline=_headline(plan),
        columns=columns,
        rows=tuple(_bench_rows(plan.rows, places, columns, signs)),
        placeless=tuple(
            Bench(row, signs[row.lot])
            for row in plan.rows
            if row.group_id not in places
        ),
        lots=tuple(
            LotKey(
                signs[one.lot],
                one.lot,
                one.n_groups,
                one.n_stations,
                one.n_sections,
                one.left,
            )
            for one in plan.lots
            if one.n_groups or one.left
        ),
        ranges=tuple(_ranges(plan)),
        efficiency=f"{100 * plan.efficiency:.0f} %",
        bars=bars,
        bars_height=_ROW_HEIGHT * len(bars) + 26,
    )


def _sign(number: int) -> LotSign:
    letters = len(ascii_uppercase)
    before = ascii_uppercase[number // letters - 1] if number >= letters else ""
    return LotSign(
        before + ascii_uppercase[number % letters], SHAPES[number % len(SHAPES)]
    )


def _headline(plan: IssuePlan) -> str:
    if plan.impossible:
        return "There is no such plan; nothing was issued"
    n = len(plan.issued)
    if not n and not plan.sent:
        return "Every group has its vial; this is how it stands"
    what = f"{n} vial{'s' * (n != 1)} would be issued"
    if not n:
        what = f"{len(plan.sent)} groups would be sent to a station"
    if plan.conflicts:
        return f"{what}; {plan.conflicts} neighbours share a lot"
    return f"{what}; no two neighbours share a lot"


def _places(rows: Sequence[PlanRow]) -> dict[int, int]:
    """Return the place of each group; in a section without places, its turn."""
    sections: dict[int, list[PlanRow]] = {}
    for row in rows:
        sections.setdefault(row.section_id, []).append(row)
    found = {}
    for here in sections.values():
        known = {row.group_id: row.place for row in here if row.place is not None}
        turns = {row.group_id: n for n, row in enumerate(here, start=1)}
        found.update(known or turns)
    return found


def _bench_rows(
    rows: Sequence[PlanRow],
    places: dict[int, int],
    columns: tuple[int, ...],
    signs: dict[str, LotSign],
) -> Iterable[BenchRow]:
    sections: dict[str, dict[int, Bench]] = {}
    for row in rows:
        benches = sections.setdefault(row.section, {})
        if row.group_id in places:
            benches[places[row.group_id]] = Bench(row, signs[row.lot])
    for section, benches in sections.items():
        yield BenchRow(section, tuple(benches.get(n, Bench()) for n in columns))


def _ranges(plan: IssuePlan) -> Iterable[tuple[str, str]]:
    lots = [one for one in plan.lots if one.n_groups]
    stations = [one for one in plan.stations if one.n_groups]
    crossed: tuple[tuple[str, list[int]], ...] = (
        ("stations that a lot meets", [one.n_stations for one in lots]),
        ("sections that a lot meets", [one.n_sections for one in lots]),
        ("groups that a lot goes to", [one.n_groups for one in lots]),
        ("lots that a station meets", [one.n_lots for one in stations]),
        ("groups that a station serves", [one.n_groups for one in stations]),
    )
    for name, numbers in crossed:
        low, high = min(numbers, default=0), max(numbers, default=0)
        if high:
            yield name, str(low) if low == high else f"{low} to {high}"


def _bars(plan: IssuePlan) -> Iterable[PowerBar]:
    for n, one in enumerate(plan.power):
        yield PowerBar(
            f"{one.factor} ±{abs(one.fault_percent):g} %",
            n * _ROW_HEIGHT,
            round(_BAR_WIDTH * one.mean, 1),
            round(_BAR_WIDTH * float(one.power[one.weakest]), 1),
            in_a_hundred(one.mean).removesuffix(" of 100"),
        )
