"""A submission as a program sends it: its shape here, its content in `policy`."""

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from rest_framework import serializers
from rest_framework.request import Request

from api.errors import KeyMissing
from api.sent import StrictSerializer, TypedNumber, checked
from results.policy.language import tell
from results.policy.refusals import NotAdmitted, Problem
from results.policy.typed import OWN_FIELDS, RawReading, RawSubmission, Scale

_LONGEST_CODE = 120
_MOST_READINGS = 500
_KEY = re.compile(r"[\x21-\x7e]{1,120}")
_SCALES = tuple(scale.value for scale in Scale)


class ReadingSentSerializer(StrictSerializer):
    """One reading: exactly one of percent_T and absorbance."""

    empty = {"tube": ""}

    tube = serializers.CharField(max_length=_LONGEST_CODE, allow_blank=True)
    replicate = TypedNumber(required=False)
    taken_mL = TypedNumber(required=False)
    percent_T = TypedNumber(required=False)
    absorbance = TypedNumber(required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Refuse a reading with no scale, or with two values."""
        sent = [name for name in _SCALES if name in attrs]
        filled = [name for name in sent if attrs[name] is not None]
        if len(filled) > 1:
            message = tell("Give percent_T or absorbance, not both.")
            raise serializers.ValidationError({filled[-1]: [message]})
        if not sent:
            message = tell("Give the reading as percent_T or as absorbance.")
            raise serializers.ValidationError({_SCALES[0]: [message]})
        return attrs


class SubmissionSentSerializer(StrictSerializer):
    """Masses, readings and worked answers of one group."""

    empty = {
        "station": "",
        "standard_mass_g": None,
        "unknown_mass_g": None,
        "readings": (),
    }

    station = serializers.CharField(
        max_length=_LONGEST_CODE,
        allow_blank=True,
        help_text="Code on the meter's sticker.",
    )
    vial = serializers.CharField(
        max_length=_LONGEST_CODE,
        allow_blank=True,
        required=False,
        help_text="Code on the vial's label; the vial on record unless given.",
    )
    standard_mass_g = TypedNumber()
    unknown_mass_g = TypedNumber()
    readings = ReadingSentSerializer(  # type: ignore[call-arg]
        many=True, max_length=_MOST_READINGS
    )
    left_out = serializers.ListField(
        child=serializers.CharField(max_length=_LONGEST_CODE),
        max_length=_MOST_READINGS,
        required=False,
        help_text="Tubes that were not measured.",
    )
    own_slope = TypedNumber(required=False)
    own_intercept = TypedNumber(required=False)
    own_unknown_mg_L = TypedNumber(required=False)
    own_iron_percent = TypedNumber(required=False)
    own_iron_mg = TypedNumber(required=False)


def read_submission(data: Any) -> RawSubmission:
    """Return a submission as typed.

    Raises
    ------
    ValidationError
        The body has not the shape of a submission.
    """
    sent = checked(SubmissionSentSerializer, data)
    return RawSubmission(
        station=sent["station"],
        vial=sent.get("vial", ""),
        standard_mass_g=sent["standard_mass_g"],
        unknown_mass_g=sent["unknown_mass_g"],
        readings=tuple(_reading(one) for one in sent["readings"]),
        left_out=tuple(sent.get("left_out", ())),
        own={name: sent.get(name) for name in OWN_FIELDS},
    )


def _reading(sent: Mapping[str, Any]) -> RawReading:
    named = [name for name in _SCALES if name in sent]
    filled = [name for name in named if sent[name] is not None]
    scale = (filled or named)[0]
    return RawReading(
        tube=sent["tube"],
        value=sent[scale],
        scale=Scale(scale),
        replicate=sent.get("replicate", 1),
        taken_mL=sent.get("taken_mL"),
    )


@contextmanager
def pointing_into(raw: RawSubmission) -> Iterator[None]:
    """Let refusals point to where each value was sent."""
    try:
        yield
    except NotAdmitted as refusal:
        raise NotAdmitted(
            Problem(_where_sent(one.where, raw), one.message)
            for one in refusal.problems
        ) from refusal


def _where_sent(
    where: tuple[str | int, ...], raw: RawSubmission
) -> tuple[str | int, ...]:
    match where:
        case ("readings", int(index), "value"):
            return ("readings", index, raw.readings[index].scale.value)
        case _:
            return where


def idempotency_key(request: Request) -> str:
    """Return the key under which a repeated request is recognised.

    Raises
    ------
    KeyMissing
        The header is missing or holds something else.
    """
    key = request.headers.get("Idempotency-Key", "")
    if not _KEY.fullmatch(key):
        message = tell(
            "Send the header Idempotency-Key with 1 to 120 visible characters: a new "
            "one for new readings, the same one when the request is repeated."
        )
        raise KeyMissing(message)
    return key
