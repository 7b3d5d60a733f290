"""Assigned values of lots, by the moment at which they hold."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from results.models.unknowns import AssignedValue


@dataclass(frozen=True, slots=True)
class Assigned:
    """An assigned iron content and its standard uncertainty, % by mass."""

    iron_percent: float
    u_iron_percent: float


class AssignedValues:
    """The assigned values of some lots; one query."""

    def __init__(self, lot_ids: Iterable[int]) -> None:
        self._by_lot: dict[int, list[tuple[datetime, Assigned]]] = defaultdict(list)
        for lot_id, valid_from, iron, u_iron in (
            AssignedValue.objects.filter(lot_id__in=set(lot_ids))
            .order_by("valid_from")
            .values_list("lot_id", "valid_from", "iron_percent", "u_iron_percent")
        ):
            self._by_lot[lot_id].append((valid_from, Assigned(iron, u_iron)))

    def supposing(
        self, lot_id: int, valid_from: datetime, value: Assigned
    ) -> "AssignedValues":
        """Return the values as they would be with one more; no query."""
        other = AssignedValues(())
        other._by_lot.update(self._by_lot)
        both = [*self._by_lot.get(lot_id, []), (valid_from, value)]
        other._by_lot[lot_id] = sorted(both, key=lambda pair: pair[0])
        return other

    def at(self, lot_id: int | None, moment: datetime) -> Assigned | None:
        """Return the value of a lot at a moment; before its first, the first."""
        values = self._by_lot.get(lot_id or 0, [])
        if not values:
            return None
        past = [value for valid_from, value in values if valid_from <= moment]
        return past[-1] if past else values[0][1]
