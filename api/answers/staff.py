"""What staff are answered."""

from rest_framework import serializers

from api.answers.common import (
    SCALES,
    STATES,
    Answered,
    FindingSerializer,
    LineSerializer,
    OwnSerializer,
    SpreadSerializer,
    TypedReadingSerializer,
)


class SectionEntrySerializer(Answered):
    """One section."""

    section_id = serializers.IntegerField()
    section = serializers.CharField()
    title = serializers.CharField()
    course = serializers.CharField()
    opens_at = serializers.DateTimeField(allow_null=True)
    due_at = serializers.DateTimeField(allow_null=True)
    closes_at = serializers.DateTimeField(allow_null=True)


class CourseEntrySerializer(Answered):
    """One course, with those of its sections that are the person's to open."""

    course = serializers.CharField()
    title = serializers.CharField()
    term = serializers.CharField()
    college = serializers.CharField()
    is_coordinator = serializers.BooleanField()
    sections = SectionEntrySerializer(many=True)


class VisitSerializer(Answered):
    """How urgently a group wants a visit."""

    urgency = serializers.IntegerField(help_text="0 not at all, higher sooner.")
    why = serializers.CharField()


class RecoverySerializer(Answered):
    """Recomputed over assigned iron content, and the values behind it."""

    ratio = serializers.FloatField()
    assigned_percent = serializers.FloatField(help_text="% by mass")
    u_assigned_percent = serializers.FloatField(
        help_text="Standard uncertainty, % by mass."
    )


class GroupRowSerializer(Answered):
    """One group of a section, by its current submission."""

    group_id = serializers.IntegerField()
    group = serializers.CharField()
    students = serializers.ListField(child=serializers.CharField())
    state = serializers.ChoiceField(choices=STATES)
    visit = VisitSerializer()
    revision = serializers.IntegerField(allow_null=True)
    received_at = serializers.DateTimeField(allow_null=True)
    is_late = serializers.BooleanField()
    station = serializers.CharField()
    vial = serializers.CharField()
    lot = serializers.CharField(help_text="Empty where assigned values are closed.")
    n_standards = serializers.IntegerField()
    slope_L_per_mg = serializers.FloatField(source="slope", allow_null=True)
    slope_se_L_per_mg = serializers.FloatField(source="slope_se", allow_null=True)
    intercept_absorbance = serializers.FloatField(source="intercept", allow_null=True)
    residual_sd_absorbance = serializers.FloatField(
        source="residual_sd", allow_null=True
    )
    iron_percent = serializers.FloatField(allow_null=True, help_text="% by mass")
    standard_uncertainty = serializers.FloatField(
        allow_null=True, help_text="Of iron_percent, % by mass."
    )
    low = serializers.FloatField(allow_null=True, help_text="Of the 95 % interval.")
    high = serializers.FloatField(allow_null=True, help_text="Of the 95 % interval.")
    recovery = RecoverySerializer(
        allow_null=True, help_text="Null where assigned values are closed."
    )
    no_answer_because = serializers.CharField()
    parked_error = serializers.CharField()
    findings = FindingSerializer(many=True)


class GroupRowWithLineSerializer(GroupRowSerializer):
    """One group with its line."""

    line = LineSerializer(allow_null=True)


class RevisionSerializer(Answered):
    """One submission of a group."""

    submission_id = serializers.IntegerField()
    revision = serializers.IntegerField()
    is_current = serializers.BooleanField()
    received_at = serializers.DateTimeField()
    is_late = serializers.BooleanField()
    source = serializers.CharField()  # type: ignore[assignment]
    state = serializers.ChoiceField(choices=STATES)
    station = serializers.CharField()
    vial = serializers.CharField()
    scale = serializers.ChoiceField(choices=SCALES)
    standard_mass_g = serializers.FloatField()
    unknown_mass_g = serializers.FloatField()
    own = OwnSerializer()
    readings = TypedReadingSerializer(many=True)


class GroupDetailSerializer(Answered):
    """One group in detail, its revisions newest first."""

    course = serializers.CharField()
    section_id = serializers.IntegerField()
    section = serializers.CharField()
    row = GroupRowWithLineSerializer()
    revisions = RevisionSerializer(many=True)


class AnswersQuerySerializer(Answered):
    """Which answers are wanted."""

    course = serializers.CharField(
        required=False, default="", help_text="Code of one course."
    )
    section = serializers.IntegerField(
        required=False, default=None, help_text="Number of one section."
    )


class AnswerRowSerializer(Answered):
    """One row of the answers table."""

    course = serializers.CharField()
    section_id = serializers.IntegerField()
    section = serializers.CharField()
    group_id = serializers.IntegerField()
    group = serializers.CharField()
    revision = serializers.IntegerField()
    state = serializers.ChoiceField(choices=STATES)
    station = serializers.CharField()
    lot = serializers.CharField(help_text="Empty where assigned values are closed.")
    slope = serializers.FloatField(allow_null=True, help_text="L/mg")
    slope_se = serializers.FloatField(allow_null=True, help_text="L/mg")
    intercept = serializers.FloatField(allow_null=True, help_text="absorbance")
    residual_sd = serializers.FloatField(allow_null=True, help_text="absorbance")
    iron_percent = serializers.FloatField(allow_null=True, help_text="% by mass")
    standard_uncertainty = serializers.FloatField(
        allow_null=True, help_text="Of iron_percent, % by mass."
    )
    low = serializers.FloatField(allow_null=True, help_text="Of the 95 % interval.")
    high = serializers.FloatField(allow_null=True, help_text="Of the 95 % interval.")
    recovery = serializers.FloatField(
        allow_null=True,
        help_text="Recomputed over assigned; null where assigned values are closed.",
    )
    top_finding = serializers.CharField()
    probability = serializers.FloatField(allow_null=True)
    findings = serializers.ListField(child=serializers.CharField())
    worked_finding = serializers.CharField()


class SectionSummarySerializer(Answered):
    """A section at one moment; groups by urgency of a visit."""

    section_id = serializers.IntegerField()
    section = serializers.CharField()
    title = serializers.CharField()
    course = serializers.CharField()
    course_title = serializers.CharField()
    opens_at = serializers.DateTimeField(allow_null=True)
    due_at = serializers.DateTimeField(allow_null=True)
    closes_at = serializers.DateTimeField(allow_null=True)
    may_see_assigned = serializers.BooleanField()
    n_submitted = serializers.IntegerField()
    n_waiting = serializers.IntegerField()
    n_to_visit = serializers.IntegerField()
    recovery = SpreadSerializer(allow_null=True)
    slope_L_per_mg = SpreadSerializer(source="slope", allow_null=True)
    groups = GroupRowSerializer(many=True)


class SectionLineSerializer(Answered):
    """One section in the comparison."""

    section_id = serializers.IntegerField()
    section = serializers.CharField()
    title = serializers.CharField()
    n_groups = serializers.IntegerField()
    n_submitted = serializers.IntegerField()
    n_computed = serializers.IntegerField()
    n_waiting = serializers.IntegerField()
    n_to_visit = serializers.IntegerField()
    recovery = SpreadSerializer(allow_null=True)
    recoveries = serializers.ListField(child=serializers.FloatField())


class SlopePointSerializer(Answered):
    """One group in the cloud of slopes."""

    group_id = serializers.IntegerField()
    group = serializers.CharField()
    section = serializers.CharField()
    station = serializers.CharField()
    slope_L_per_mg = serializers.FloatField(source="slope")
    intercept_absorbance = serializers.FloatField(source="intercept")


class FindingCountSerializer(Answered):
    """How many groups have a finding."""

    code = serializers.CharField()
    title = serializers.CharField()
    n_groups = serializers.IntegerField()
    is_worked = serializers.BooleanField(
        help_text="Whether it is about worked answers, not about the bench."
    )


class ParkedSerializer(Answered):
    """One submission that could not be computed."""

    group_id = serializers.IntegerField()
    group = serializers.CharField()
    section = serializers.CharField()
    revision = serializers.IntegerField()
    attempts = serializers.IntegerField()
    error = serializers.CharField()


class CourseSummarySerializer(Answered):
    """A course at one moment."""

    course = serializers.CharField()
    title = serializers.CharField()
    term = serializers.CharField()
    college = serializers.CharField()
    n_groups = serializers.IntegerField()
    n_submitted = serializers.IntegerField()
    n_waiting = serializers.IntegerField()
    recovery = SpreadSerializer(allow_null=True)
    slope_L_per_mg = SpreadSerializer(source="slope", allow_null=True)
    sections = SectionLineSerializer(many=True)
    slopes = SlopePointSerializer(many=True)
    findings = FindingCountSerializer(many=True)
    parked = ParkedSerializer(many=True)
