"""What the class says of each submission of a batch.

Each answer keeps the one number and the few shares that its group adds to its
class; the context of a batch is made of those of every other current submission
under the protocol, and of the batch's own.
"""

import hashlib
import math
import time
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from results.recompute.members import (
    Members,
    assigned_at,
    group_and_staff,
    log_of_positive,
    real,
    stored_members,
)
from results.recompute.readings import ProtocolBatch
from results.science.answer import Answers
from results.science.arrays import BoolArray, FloatArray
from results.science.diagnosis import (
    Context,
    care_of,
    own_log_absorptivity,
    own_log_iron,
)

# Other workers store answers of the same class meanwhile; a large class, which takes
# long to read and changes little by one batch, is not read most of the time.
_READ_AGAIN_S, _TIMES_THE_READING = 20.0, 50.0


@dataclass(frozen=True, slots=True)
class OwnSummary:
    """What each submission of a batch adds to its class.

    Attributes
    ----------
    log_absorptivity, log_iron : array (N,)
    care : array (N, K)
    digests : list of str
        Equal for submissions whose readings are the same value for value.
    """

    log_absorptivity: FloatArray
    log_iron: FloatArray
    care: FloatArray
    digests: list[str]


@dataclass(frozen=True, slots=True)
class Contexts:
    """The class's say for the group's own eyes, and for staff's."""

    for_group: Context
    for_staff: Context


def summarise(batch: ProtocolBatch, answers: Answers) -> OwnSummary:
    """Return what each submission adds to its class."""
    return OwnSummary(
        log_absorptivity=own_log_absorptivity(batch.scheme, batch.readings, answers),
        log_iron=own_log_iron(answers),
        care=care_of(batch.scheme, batch.readings),
        digests=_digests(batch),
    )


def _digests(batch: ProtocolBatch) -> list[str]:
    typed = _typed(batch.signals())
    return [hashlib.sha256(repr(row).encode()).hexdigest() for row in typed]


def _typed(values: FloatArray) -> list[list[float]]:
    return [
        [round(value, 6) for value in row if not math.isnan(value)]
        for row in values.tolist()
    ]


@dataclass
class _Class:
    """A class as it was read and has been stored since."""

    members: Members
    read_again_at_s: float
    contexts: tuple[Context, Context] | None = None

    def put(self, new: Members) -> None:
        """Enter rows; of a group, the last one stands."""
        if (self.members.where_same(new) >= 0).all():
            return
        stay = ~np.isin(self.members.group, new.group)
        self.members = self.members.chosen(stay).joined(new)
        self.contexts = None


@dataclass
class Classes:
    """The classes that a run of batches meets: each is read once, not for every batch.

    What is stored is entered; what others store is seen some seconds later.
    """

    _by_protocol: dict[int, _Class] = field(default_factory=dict)
    _computed: list[tuple[int, BoolArray, Members]] = field(default_factory=list)

    def contexts_of(self, batch: ProtocolBatch, own: OwnSummary) -> Contexts:
        """Return both contexts of a batch; three queries, or one."""
        mine = _mine(batch, own)
        self._computed.append((batch.protocol_id, batch.is_current, mine))
        one = self._class(batch.protocol_id, own.care.shape[1])
        rows = one.members.where_same(mine)
        if (rows >= 0).all():
            # Computed again, a batch says what its rows have said already.
            one.contexts = one.contexts or group_and_staff(one.members)
            return Contexts(*(each.rows(rows) for each in one.contexts))
        others = ~np.isin(one.members.submission, mine.submission)
        both = one.members.chosen(others).joined(mine)
        of_batch = slice(int(others.sum()), None)
        return Contexts(*(each.rows(of_batch) for each in group_and_staff(both)))

    def stored(self, iron: Mapping[int, float | None]) -> None:
        """Enter what has been stored of what was computed since the last time.

        Parameters
        ----------
        iron : mapping of int to float or None
            Iron contents that were stored, in percent, by submission.
        """
        for protocol_id, is_current, computed in self._computed:
            kept = np.isin(computed.submission, list(iron)) & is_current
            new = computed.chosen(kept & np.isfinite(computed.care).all(axis=1))
            values = real([iron[pk] for pk in new.submission.tolist()])
            self._by_protocol[protocol_id].put(
                replace(new, log_iron=log_of_positive(values))
            )
        self._computed.clear()

    def _class(self, protocol_id: int, care_levels: int) -> _Class:
        known = self._by_protocol.get(protocol_id)
        started_s = time.monotonic()
        if known is None or started_s >= known.read_again_at_s:
            members = stored_members(protocol_id, care_levels)
            now_s = time.monotonic()
            wait_s = max(_READ_AGAIN_S, _TIMES_THE_READING * (now_s - started_s))
            known = self._by_protocol[protocol_id] = _Class(members, now_s + wait_s)
        return known


def _mine(batch: ProtocolBatch, own: OwnSummary) -> Members:
    return Members(
        batch.submission,
        batch.group,
        batch.station,
        batch.lot,
        own.log_absorptivity,
        own.log_iron,
        batch.readings.standard_mass_g,
        batch.readings.unknown_mass_g,
        own.care,
        *assigned_at(batch.lot, batch.received_at),
    )
