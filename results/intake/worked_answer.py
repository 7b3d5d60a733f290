"""A group adds its own worked answer to readings that it sent before."""

from collections.abc import Mapping
from datetime import datetime

from results.intake.submissions import Accepted, accept_submission
from results.policy.language import tell
from results.policy.refusals import NotAdmitted, NotFound, Problem
from results.policy.typed import OWN_FIELDS, Typed, is_empty
from results.summaries.as_typed import as_typed, last_submission


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
    current = last_submission(group_id)
    if current is None:
        message = tell("Send your readings first; then give your own answer.")
        raise NotFound(message)
    return accept_submission(
        group_id=group_id,
        raw=as_typed(current, own),
        source="page",
        idempotency_key=idempotency_key,
        received_at=received_at,
    )
