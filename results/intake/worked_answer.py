"""A group adds its own worked answer to readings that it sent before."""

from collections.abc import Mapping
from datetime import datetime

from results.intake.submissions import Accepted, accept_submission
from results.models import Submission
from results.policy.language import tell
from results.policy.protocol import read_protocol
from results.policy.refusals import NotAdmitted, NotFound, Problem
from results.policy.typed import (
    OWN_FIELDS,
    RawReading,
    RawSubmission,
    Scale,
    Typed,
    is_empty,
)


def add_worked_answer(
    *,
    group_id: int,
    own: Mapping[str, Typed],
    idempotency_key: str,
    received_at: datetime,
) -> Accepted:
    """Store the current readings once more, as a revision with the worked answer.

    Raises
    ------
    NotFound
        The group has sent no readings yet.
    SectionNotOpen, SectionClosed, NoProtocol, KeyReused, NotAdmitted
        As `accept_submission`; nothing was stored.
    """
    if all(is_empty(own.get(name)) for name in OWN_FIELDS):
        problem = Problem(("own_iron_percent",), tell("Give at least one number."))
        raise NotAdmitted([problem])
    current = (
        Submission.objects.filter(group_id=group_id, is_current=True)
        .select_related("station", "vial", "protocol")
        .first()
    )
    if current is None:
        message = tell("Send your readings first; then give your own answer.")
        raise NotFound(message)
    return accept_submission(
        group_id=group_id,
        raw=_as_typed(current, own),
        source="page",
        idempotency_key=idempotency_key,
        received_at=received_at,
    )


def _as_typed(submission: Submission, own: Mapping[str, Typed]) -> RawSubmission:
    readings = tuple(
        RawReading(tube, value, Scale(submission.scale), replicate, taken_mL)
        for tube, replicate, value, taken_mL in submission.readings.order_by(
            "position"
        ).values_list("tube", "replicate", "value", "taken_mL")
    )
    scheme = read_protocol(submission.protocol.document).scheme
    read = {reading.tube for reading in readings}
    labels = (*scheme.standard_labels, *scheme.unknown_labels)
    return RawSubmission(
        station=submission.station.code,
        vial=submission.vial.code if submission.vial else "",
        standard_mass_g=submission.standard_mass_g,
        unknown_mass_g=submission.unknown_mass_g,
        readings=readings,
        left_out=tuple(label for label in labels if label not in read),
        own={name: own.get(name) or getattr(submission, name) for name in OWN_FIELDS},
    )
