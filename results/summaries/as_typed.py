"""A stored submission as it would be typed again."""

from collections.abc import Mapping

from results.models import Submission
from results.policy.protocol import read_protocol
from results.policy.typed import OWN_FIELDS, RawReading, RawSubmission, Scale, Typed


def last_submission(group_id: int) -> Submission | None:
    """Return a group's last submission with what `as_typed` needs; one query."""
    return (
        Submission.objects.filter(group_id=group_id, is_current=True)
        .select_related("station", "vial", "protocol")
        .first()
    )


def as_typed(
    submission: Submission, own: Mapping[str, Typed] | None = None
) -> RawSubmission:
    """Return what was submitted, with another worked answer if one is given."""
    readings = tuple(
        RawReading(tube, value, Scale(submission.scale), replicate, taken_mL)
        for tube, replicate, value, taken_mL in submission.readings.order_by(
            "position"
        ).values_list("tube", "replicate", "value", "taken_mL")
    )
    scheme = read_protocol(submission.protocol.document).scheme
    read = {reading.tube for reading in readings}
    labels = (*scheme.standard_labels, *scheme.unknown_labels)
    worked = own or {}
    return RawSubmission(
        station=submission.station.code,
        vial=submission.vial.code if submission.vial else "",
        standard_mass_g=submission.standard_mass_g,
        unknown_mass_g=submission.unknown_mass_g,
        readings=readings,
        left_out=tuple(label for label in labels if label not in read),
        own={
            name: worked.get(name) or getattr(submission, name) for name in OWN_FIELDS
        },
    )
