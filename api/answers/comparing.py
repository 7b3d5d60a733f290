"""What coordinators' programs are answered about stations, lots and sections."""

import math
from typing import Any

from rest_framework import serializers

from api.answers.common import Answered
from api.answers.staff import FindingCountSerializer, SlopePointSerializer
from api.sent import StrictSerializer
from results.policy.claims import Response

_VERDICTS = ["differs", "like_the_others", "too_few", "cannot_tell"]
_FACTORS = ["station", "section", "lot"]
_RESPONSES = [one.value for one in Response]


class Known(serializers.FloatField):
    """A number; null where there is none."""

    def __init__(self, **options: Any) -> None:
        super().__init__(allow_null=True, **options)

    def to_representation(self, value: Any) -> Any:
        """Return the number, or nothing for what JSON has no word for."""
        return float(value) if math.isfinite(value) else None


class EffectSerializer(Answered):
    """One level against the others: percent; bends in standard deviations."""

    level = serializers.CharField()
    n = serializers.IntegerField()
    n_set_aside = serializers.IntegerField()
    effect = Known()
    low = Known(help_text="Of the 95 % interval.")
    high = Known(help_text="Of the 95 % interval.")
    median = Known(help_text="Plain median of its groups.")
    z = Known()
    verdict = serializers.ChoiceField(choices=_VERDICTS)
    is_firm = serializers.BooleanField(
        help_text="Whether it stays without any one group, section or station."
    )
    sentence = serializers.CharField()
    could_be = serializers.ListField(child=serializers.CharField())
    rests_on = serializers.ListField(child=serializers.CharField())


class HistoryPointSerializer(Answered):
    """One week of a station: slope against the others', percent."""

    week = serializers.IntegerField(help_text="Year and week, as 202541.")
    n = serializers.IntegerField()
    value = Known()
    low = Known()
    high = Known()
    smoothed = Known(help_text="Moving average.")
    limit_low = Known()
    limit_high = Known()


class StationHistorySerializer(Answered):
    """A station against its own history."""

    points = HistoryPointSerializer(many=True)
    centre = Known()
    has_moved = serializers.BooleanField()
    sentence = serializers.CharField()


class BlankWatchSerializer(Answered):
    """Blanks read again at a station, on its own scale."""

    n = serializers.IntegerField()
    latest = serializers.FloatField()
    target = serializers.FloatField()
    scale = serializers.CharField()
    warns = serializers.BooleanField()
    sentence = serializers.CharField()


class StationEffectSerializer(Answered):
    """One station; effects are null if nothing was read at it."""

    station_id = serializers.IntegerField()
    station = serializers.CharField()
    place = serializers.CharField()
    in_service = serializers.BooleanField()
    note = serializers.CharField()
    slope = EffectSerializer(allow_null=True)
    recovery = EffectSerializer(allow_null=True)
    curvature = EffectSerializer(allow_null=True)
    history = StationHistorySerializer(allow_null=True)
    blank = BlankWatchSerializer(allow_null=True)
    sentences = serializers.ListField(child=serializers.CharField())


class StationsSerializer(Answered):
    """All stations, those first that ask for a look."""

    course = serializers.CharField()
    fitted_at = serializers.DateTimeField(allow_null=True)
    stations = StationEffectSerializer(many=True)


class LotEffectSerializer(Answered):
    """One lot; iron contents in % by mass."""

    lot_id = serializers.IntegerField()
    lot = serializers.CharField()
    n = serializers.IntegerField()
    assigned_percent = Known()
    u_assigned_percent = Known(help_text="Standard uncertainty.")
    found_percent = Known(help_text="The class's value; null below five groups.")
    u_found_percent = Known(help_text="Standard uncertainty.")
    spread_percent = Known()
    usual_spread_percent = Known()
    zeta = Known(help_text="ISO 13528.")
    effect = EffectSerializer(allow_null=True)
    proposals = serializers.ListField(child=serializers.CharField())


class LotsSerializer(Answered):
    """All lots, those first that ask for something."""

    course = serializers.CharField()
    fitted_at = serializers.DateTimeField(allow_null=True)
    lots = LotEffectSerializer(many=True)


class ErrorSpreadSerializer(Answered):
    """Quantiles of errors, percent of the assigned value."""

    n = serializers.IntegerField()
    p10 = Known()
    p25 = Known()
    p50 = Known()
    p75 = Known()
    p90 = Known()


class ConsistencySerializer(Answered):
    """Mandel's h and k with their 1 % limits (ISO 5725-2)."""

    h = Known()
    k = Known()
    h_limit = Known()
    k_limit = Known()


class SectionEffectSerializer(Answered):
    """One section against the others."""

    section_id = serializers.IntegerField()
    section = serializers.CharField()
    title = serializers.CharField()
    errors = ErrorSpreadSerializer(allow_null=True)  # type: ignore[assignment]
    consistency = ConsistencySerializer(allow_null=True)
    recovery = EffectSerializer(allow_null=True)
    slope = EffectSerializer(allow_null=True)
    curvature = EffectSerializer(allow_null=True)


class MapCellSerializer(Answered):
    """A section at a station; medians in percent."""

    section = serializers.CharField()
    station = serializers.CharField()
    n = serializers.IntegerField()
    error = Known(help_text="Of the assigned value.")
    slope = Known(help_text="Against the class's median.")


class SectionEffectsSerializer(Answered):
    """All sections, and at which stations they worked."""

    course = serializers.CharField()
    fitted_at = serializers.DateTimeField(allow_null=True)
    sections = SectionEffectSerializer(many=True)
    cells = MapCellSerializer(many=True)


class EllipseSerializer(Answered):
    """The region of 95 % of the class's lines, as a closed ring of points."""

    slope_L_per_mg = serializers.ListField(child=serializers.FloatField(), source="x")
    intercept_absorbance = serializers.ListField(
        child=serializers.FloatField(), source="y"
    )
    n = serializers.IntegerField()


class SlopesSerializer(Answered):
    """Every group's line as a point."""

    course = serializers.CharField()
    points = SlopePointSerializer(many=True)
    ellipse = EllipseSerializer(allow_null=True)


class SharedSlipSerializer(Answered):
    """A slip that most of a section share: its handout may be the cause."""

    section_id = serializers.IntegerField()
    section = serializers.CharField()
    code = serializers.CharField()
    title = serializers.CharField()
    n_groups = serializers.IntegerField()
    n_worked = serializers.IntegerField()
    sentence = serializers.CharField()


class SlipsSerializer(Answered):
    """How many groups have each finding, most frequent first."""

    course = serializers.CharField()
    n_groups = serializers.IntegerField()
    n_worked = serializers.IntegerField(help_text="Groups with a worked answer.")
    at_the_bench = FindingCountSerializer(many=True)
    on_paper = FindingCountSerializer(many=True)
    shared = SharedSlipSerializer(many=True)


class ContrastQuerySerializer(StrictSerializer):
    """Which two levels to compare; all four or none."""

    response = serializers.ChoiceField(choices=_RESPONSES, required=False)
    factor = serializers.ChoiceField(choices=_FACTORS, required=False)
    first = serializers.IntegerField(required=False, help_text="Number of one level.")
    second = serializers.IntegerField(required=False, help_text="And of the other.")

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Refuse half a question."""
        names = list(self.get_fields())
        if missing := [name for name in names if attrs and name not in attrs]:
            message = "Give response, factor, first and second, or none of them."
            raise serializers.ValidationError({missing[0]: [message]})
        return attrs


class ContrastSerializer(Answered):
    """Two levels compared: percent; bends in standard deviations."""

    code = serializers.ChoiceField(choices=["compared", "cannot_separate"])
    sentence = serializers.CharField(help_text="Why not, or empty.")
    effect = Known(help_text="First over second; null if they cannot be compared.")
    low = Known(help_text="Of the 95 % interval.")
    high = Known(help_text="Of the 95 % interval.")


class RefusedSerializer(Answered):
    """Levels whose differences cannot be told from another factor's."""

    code = serializers.ChoiceField(choices=["cannot_separate"])
    response = serializers.ChoiceField(choices=_RESPONSES)
    factor = serializers.CharField()
    other = serializers.CharField()
    sets = serializers.ListField(
        child=serializers.ListField(child=serializers.CharField()),
        help_text="Within a set levels can be compared, between sets they cannot.",
    )
    sentence = serializers.CharField()


class ContrastsSerializer(Answered):
    """What the layout cannot tell, and the contrast asked for."""

    course = serializers.CharField()
    refused = RefusedSerializer(many=True)
    contrast = ContrastSerializer(allow_null=True)


class ScoreSerializer(Answered):
    """A group, or a section as a whole, against the assigned values; percent."""

    section_id = serializers.IntegerField()
    section = serializers.CharField()
    group_id = serializers.IntegerField(help_text="0 for a section as a whole.")
    group = serializers.CharField(help_text="Empty for a section as a whole.")
    n = serializers.IntegerField()
    error = Known()
    u_error = Known(help_text="Standard uncertainty.")
    u_assigned = Known(help_text="Standard uncertainty.")
    z_prime = Known(help_text="ISO 13528, 9.5; null for fewer than five.")
    zeta = Known(help_text="ISO 13528, 9.6.")
    judgement = serializers.ChoiceField(
        choices=["acceptable", "warning signal", "action signal"], allow_null=True
    )


class ScoresSerializer(Answered):
    """Scores of sections and groups."""

    course = serializers.CharField()
    groups_sigma_pt = Known(help_text="Usual spread of groups, percent.")
    sections_sigma_pt = Known(help_text="Usual spread of sections, percent.")
    sections = ScoreSerializer(many=True)
    groups = ScoreSerializer(many=True)
