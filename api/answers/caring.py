"""Values of lots and service of stations, as programs send and are answered."""

from rest_framework import serializers

from api.answers.common import Answered
from api.sent import StrictSerializer, TypedNumber

_LONGEST = 240


class ValueSentSerializer(StrictSerializer):
    """Another value of a lot."""

    iron_percent = TypedNumber(help_text="% by mass")
    u_iron_percent = TypedNumber(help_text="Standard uncertainty, % by mass.")
    valid_from = serializers.CharField(
        max_length=40, help_text="ISO 8601; readings received from then on."
    )
    reason = serializers.CharField(
        max_length=_LONGEST, allow_blank=True, required=False, default=""
    )
    seen = serializers.CharField(
        max_length=64,
        allow_blank=True,
        required=False,
        default="",
        help_text="Mark of the preview; without it, who would change is answered "
        "and nothing is stored.",
    )


class MoverSerializer(Answered):
    """One group whose grade would change."""

    group_id = serializers.IntegerField()
    section = serializers.CharField()
    group = serializers.CharField()
    before = serializers.FloatField(allow_null=True)
    after = serializers.FloatField(allow_null=True)
    waits = serializers.BooleanField(help_text="Whether a person decides.")


class ValuePreviewSerializer(Answered):
    """Who would change; nothing is stored."""

    mark = serializers.CharField(help_text="To be sent as seen.")
    n_groups = serializers.IntegerField()
    movers = MoverSerializer(many=True)


class RevaluedSerializer(Answered):
    """What became of a value."""

    value_id = serializers.IntegerField()
    n_grades = serializers.IntegerField(help_text="Drafts changed, others proposed.")
    n_submissions = serializers.IntegerField(help_text="Being computed anew.")


class PastValueSerializer(Answered):
    """One value of a lot, kept whether or not it still holds."""

    iron_percent = serializers.FloatField()
    u_iron_percent = serializers.FloatField()
    valid_from = serializers.DateTimeField()
    reason = serializers.CharField()
    assigned_by = serializers.CharField()
    assigned_at = serializers.DateTimeField(allow_null=True)


class LotValuesSerializer(Answered):
    """A lot's values, the newest first."""

    lot_id = serializers.IntegerField()
    lot = serializers.CharField()
    values = PastValueSerializer(many=True)


class ServiceSentSerializer(StrictSerializer):
    """A station in or out of service."""

    in_service = serializers.BooleanField()
    note = serializers.CharField(
        max_length=_LONGEST, allow_blank=True, required=False, default=""
    )


class PastNoteSerializer(Answered):
    """One time that a station's service was decided."""

    in_service = serializers.BooleanField()
    note = serializers.CharField()
    at = serializers.DateTimeField()
    by = serializers.CharField()


class StationServiceSerializer(Answered):
    """A station and what was decided about it, the newest first."""

    station_id = serializers.IntegerField()
    station = serializers.CharField()
    place = serializers.CharField()
    in_service = serializers.BooleanField()
    note = serializers.CharField()
    notes = PastNoteSerializer(many=True)
