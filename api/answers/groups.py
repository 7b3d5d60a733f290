"""What groups are answered."""

from rest_framework import serializers

from api.answers.common import (
    SCALES,
    STATES,
    Answered,
    FindingSerializer,
    LineSerializer,
    OwnSerializer,
    TokenSerializer,
    TypedReadingSerializer,
)
from results.summaries.bench import Door


class GroupTokenSerializer(TokenSerializer):
    """A group's token, and whom it signs in."""

    course = serializers.CharField()
    section = serializers.CharField()
    group = serializers.CharField()


class SpanSerializer(Answered):
    """Plausible values; others are refused."""

    low = serializers.FloatField()
    high = serializers.FloatField()


class LimitsSerializer(Answered):
    """Plausible values of everything that is typed."""

    standard_mass_g = SpanSerializer()
    unknown_mass_g = SpanSerializer()
    percent_T = SpanSerializer()
    absorbance = SpanSerializer()


class FlaskSerializer(Answered):
    """One move of a dilution chain: take a volume, or make up to one."""

    take_mL = serializers.FloatField(allow_null=True)
    make_up_mL = serializers.FloatField(allow_null=True)
    delivery = serializers.CharField(help_text="What the volume is taken with.")


class TubeSerializer(Answered):
    """One tube to prepare and read."""

    tube = serializers.CharField(source="label")
    kind = serializers.ChoiceField(choices=["standard", "unknown"])
    take_mL = serializers.FloatField()
    make_up_mL = serializers.FloatField()
    delivery = serializers.CharField()


class StationSerializer(Answered):
    """One station that can be chosen."""

    station = serializers.CharField(source="code")
    place = serializers.CharField()
    scale = serializers.ChoiceField(choices=SCALES)
    step = serializers.FloatField(help_text="Smallest step, in units of the scale.")
    in_service = serializers.BooleanField()


class ReagentSerializer(Answered):
    """One reagent, in the order of adding."""

    name = serializers.CharField()
    volume_mL = serializers.FloatField()
    role = serializers.CharField()


class TypedBeforeSerializer(Answered):
    """The current submission, to start a revision from."""

    revision = serializers.IntegerField()
    station = serializers.CharField()
    scale = serializers.ChoiceField(choices=SCALES)
    standard_mass_g = serializers.FloatField()
    unknown_mass_g = serializers.FloatField()
    readings = TypedReadingSerializer(many=True)
    own = OwnSerializer()


class BenchSheetSerializer(Answered):
    """Everything on a group's bench sheet."""

    course = serializers.CharField()
    course_title = serializers.CharField()
    section = serializers.CharField()
    group = serializers.CharField()
    vial = serializers.CharField(help_text="Empty if no vial was issued.")
    door = serializers.ChoiceField(choices=[door.value for door in Door])
    opens_at = serializers.DateTimeField(allow_null=True)
    due_at = serializers.DateTimeField(allow_null=True)
    closes_at = serializers.DateTimeField(allow_null=True)
    protocol_version = serializers.IntegerField()
    wavelength_nm = serializers.FloatField()
    path_cm = serializers.FloatField()
    formula = serializers.CharField(help_text="Of the salt that is weighed.")
    develop_min = serializers.FloatField(help_text="Minutes for the colour.")
    nominal_standard_mass_g = serializers.FloatField()
    nominal_unknown_mass_g = serializers.FloatField()
    limits = LimitsSerializer(source="*")
    standard_flasks = FlaskSerializer(many=True)
    unknown_flasks = FlaskSerializer(many=True)
    tubes = TubeSerializer(many=True)
    stations = StationSerializer(many=True)
    reagents = ReagentSerializer(many=True)
    cautions = serializers.ListField(child=serializers.CharField())
    typed_before = TypedBeforeSerializer(allow_null=True)


class ReceiptSerializer(Answered):
    """What became of a submission."""

    submission_id = serializers.IntegerField()
    revision = serializers.IntegerField()
    received_at = serializers.DateTimeField()
    is_late = serializers.BooleanField()
    state = serializers.ChoiceField(choices=STATES)


class OwnSubmissionSerializer(ReceiptSerializer):
    """One of a group's submissions."""

    is_current = serializers.BooleanField()


class IronSerializer(Answered):
    """The recomputed iron content, % by mass."""

    iron_percent = serializers.FloatField()
    standard_uncertainty = serializers.FloatField(help_text="% by mass")
    low = serializers.FloatField(help_text="Of the 95 % interval, % by mass.")
    high = serializers.FloatField(help_text="Of the 95 % interval, % by mass.")


class ResultSerializer(Answered):
    """What a group sees of one of its submissions."""

    submission = OwnSubmissionSerializer()
    line = LineSerializer(allow_null=True)
    slope_se_L_per_mg = serializers.FloatField(source="slope_se", allow_null=True)
    r_squared = serializers.FloatField(allow_null=True)
    n_standards = serializers.IntegerField()
    n_unknowns = serializers.IntegerField()
    no_answer_because = serializers.CharField(
        help_text="Why there is no answer; empty if there is one or none yet."
    )
    findings = FindingSerializer(many=True)
    iron = IronSerializer(
        allow_null=True,
        help_text="Null while the course keeps it back, and without an answer.",
    )
    iron_note = serializers.CharField(help_text="When it is shown, while kept back.")
