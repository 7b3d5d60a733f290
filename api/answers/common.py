"""Parts that answers to groups and to staff share."""

from typing import Any

from rest_framework import serializers

from results.policy.typed import Scale
from results.policy.visits import State

STATES = [(state.value, state.label) for state in State]
SCALES = [(scale.value, scale.label) for scale in Scale]

Answered = serializers.Serializer[Any]


class ProblemPlaceSerializer(Answered):
    """One thing to mend."""

    pointer = serializers.CharField(
        required=False, help_text="JSON pointer (RFC 6901) into the body sent."
    )
    header = serializers.CharField(required=False, help_text="Name of a header.")
    detail = serializers.CharField()


class ProblemSerializer(Answered):
    """A problem document (RFC 9457)."""

    type = serializers.CharField(help_text="Address that explains the kind.")
    title = serializers.CharField()
    status = serializers.IntegerField()
    detail = serializers.CharField()
    instance = serializers.CharField(help_text="Path of the request.")
    # The framework takes declared fields off the class: its own name stays free.
    errors = ProblemPlaceSerializer(many=True)  # type: ignore[assignment]


class ProblemKindSerializer(Answered):
    """One kind of problem, explained."""

    type = serializers.CharField(source="uri")
    title = serializers.CharField()
    status = serializers.IntegerField()
    meaning = serializers.CharField()


class PointSerializer(Answered):
    """One tube of a line."""

    tube = serializers.CharField()
    kind = serializers.ChoiceField(choices=["standard", "unknown"])
    mg_L = serializers.FloatField(
        allow_null=True,
        help_text="Iron in the tube, mg/L; an unknown's is read off the line.",
    )
    absorbance = serializers.FloatField()


class LineWithoutSerializer(Answered):
    """The line through all standards but one; least squares without weights."""

    tube = serializers.CharField()
    slope_L_per_mg = serializers.FloatField(source="slope")
    intercept_absorbance = serializers.FloatField(source="intercept")


class LineSerializer(Answered):
    """A group's line through its standards."""

    points = PointSerializer(many=True)
    slope_L_per_mg = serializers.FloatField(source="slope", allow_null=True)
    intercept_absorbance = serializers.FloatField(source="intercept", allow_null=True)
    residual_sd_absorbance = serializers.FloatField(
        source="residual_sd", allow_null=True
    )
    suspect_tubes = serializers.ListField(child=serializers.CharField())
    without = LineWithoutSerializer(
        allow_null=True, help_text="Without the likeliest suspect of the standards."
    )


class FindingSerializer(Answered):
    """One thing noticed about a submission."""

    code = serializers.CharField()
    title = serializers.CharField()
    sentence = serializers.CharField()
    tube = serializers.CharField(help_text="Empty if it concerns no single tube.")
    probability = serializers.FloatField(help_text="From 0 to 1.")
    stage = serializers.CharField(
        help_text="Of a worked answer, the first number that it spoils: line, "
        "unknown, flask or solid. Empty for what happened at the bench."
    )
    harmless = serializers.BooleanField(
        help_text="Whether the worked answer is what it would be without it."
    )
    advice = serializers.ListField(
        child=serializers.CharField(),
        help_text="What to try, for the most usual reason first.",
    )


class TypedReadingSerializer(Answered):
    """One reading as stored, on the scale of its submission."""

    tube = serializers.CharField()
    replicate = serializers.IntegerField()
    value = serializers.FloatField()
    taken_mL = serializers.FloatField(allow_null=True)


class OwnSerializer(Answered):
    """The group's worked answers with the digits it reported; empty if none."""

    own_slope = serializers.CharField(help_text="L/mg")
    own_intercept = serializers.CharField(help_text="absorbance")
    own_unknown_mg_L = serializers.CharField(help_text="mg/L")
    own_iron_percent = serializers.CharField(help_text="% by mass")
    own_iron_mg = serializers.CharField(
        help_text="mg in the first flask of the unknown"
    )


class SpreadSerializer(Answered):
    """Middle and robust spread of n values."""

    n = serializers.IntegerField()
    median = serializers.FloatField()
    sd = serializers.FloatField(
        allow_null=True,
        help_text="1.4826 times the median absolute deviation; null for fewer "
        "than five values.",
    )


class TokenSerializer(Answered):
    """A token."""

    token = serializers.CharField()
    expires_at = serializers.DateTimeField()
