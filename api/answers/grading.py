"""Grades as programs are answered."""

from rest_framework import serializers

from api.answers.common import Answered
from results.policy.marking import Part, PartName

_NAMES = [(name.value, name.label) for name in PartName]


class GradePartSerializer(Answered):
    """One part of a grade."""

    name = serializers.ChoiceField(choices=_NAMES)
    points = serializers.FloatField(
        allow_null=True, help_text="Null where a person has to decide."
    )
    max_points = serializers.FloatField(help_text="0 for parts that only take off.")
    reason = serializers.SerializerMethodField()

    def get_reason(self, part: Part) -> str:
        """Return why, as the caller may know it."""
        return part.said(open_values=self.context["open_values"])


class ProposalSerializer(Answered):
    """A change that waits for a person."""

    points = serializers.FloatField(allow_null=True)
    max_points = serializers.FloatField()
    why = serializers.CharField()
    at = serializers.DateTimeField()


class RecheckSerializer(Answered):
    """A group's request for a re-check; the answer is empty until there is one."""

    text = serializers.CharField()
    asked_at = serializers.DateTimeField()
    answer = serializers.CharField()
    answered_at = serializers.DateTimeField(allow_null=True)


class GradeSerializer(Answered):
    """One group's grade."""

    group_id = serializers.IntegerField(source="work.group_id")
    group = serializers.CharField(source="work.group")
    students = serializers.ListField(
        child=serializers.CharField(), source="work.students"
    )
    grade_state = serializers.ChoiceField(
        choices=["waiting", "draft", "accepted", "released"], source="state"
    )
    version = serializers.IntegerField(help_text="Rises with every change.")
    look = serializers.ListField(
        child=serializers.CharField(), help_text="Why to look before accepting."
    )
    parts = GradePartSerializer(many=True)
    lost_to_measurement = serializers.FloatField()
    lost_to_arithmetic = serializers.FloatField()
    lost_in_handing_in = serializers.FloatField()
    suggested_points = serializers.FloatField(source="suggested", allow_null=True)
    final_points = serializers.FloatField(source="final", allow_null=True)
    max_points = serializers.FloatField()
    set_by_hand = serializers.BooleanField(source="is_override")
    reason = serializers.CharField(help_text="Why it differs from the suggestion.")
    comment = serializers.CharField(help_text="As kept, or to start from.")
    accepted_by = serializers.CharField()
    accepted_at = serializers.DateTimeField(allow_null=True)
    released_at = serializers.DateTimeField(allow_null=True)
    proposal = ProposalSerializer(allow_null=True)
    rechecks = RecheckSerializer(many=True)


class GradeChangeSerializer(Answered):
    """One change of a grade."""

    at = serializers.DateTimeField()
    by = serializers.CharField()
    kind = serializers.CharField()
    before = serializers.FloatField(allow_null=True)
    after = serializers.FloatField(allow_null=True)
    why = serializers.CharField()


class GradeHistorySerializer(Answered):
    """Every change of a group's grade, oldest first."""

    course = serializers.CharField()
    section = serializers.CharField()
    group_id = serializers.IntegerField()
    group = serializers.CharField()
    changes = GradeChangeSerializer(many=True)


class OwnPartSerializer(Answered):
    """One part of a group's own grade."""

    name = serializers.ChoiceField(choices=_NAMES)
    points = serializers.FloatField(allow_null=True)
    max_points = serializers.FloatField()
    reason = serializers.CharField()


class OwnGradeSerializer(Answered):
    """A released grade."""

    points = serializers.FloatField()
    max_points = serializers.FloatField()
    parts = OwnPartSerializer(many=True)
    by_hand = serializers.FloatField(
        help_text="What a person added to or took off the sum of the parts."
    )
    lost_to_measurement = serializers.FloatField()
    lost_to_arithmetic = serializers.FloatField()
    lost_in_handing_in = serializers.FloatField()
    comment = serializers.CharField()
    released_at = serializers.DateTimeField()
    rechecks = RecheckSerializer(many=True)


class OwnGradeStateSerializer(Answered):
    """A group's grade, once it is released."""

    is_released = serializers.BooleanField()
    grade = OwnGradeSerializer(allow_null=True)
