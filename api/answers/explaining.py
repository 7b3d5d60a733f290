"""What staff are answered about how one answer came about."""

from rest_framework import serializers

from api.answers.common import Answered


class StepSerializer(Answered):
    """One line of the calculation."""

    title = serializers.CharField()
    formula = serializers.CharField(help_text="Plain text, with symbols.")
    numbers = serializers.CharField(help_text="The same with the numbers put in.")
    value = serializers.FloatField()
    unit = serializers.CharField(help_text="Empty for a bare number.")
    note = serializers.CharField()


class PartSerializer(Answered):
    """The steps of one part of the calculation."""

    title = serializers.CharField()
    steps = StepSerializer(many=True)


class SourceSerializer(Answered):
    """One source of the uncertainty."""

    code = serializers.CharField()
    title = serializers.CharField()
    relative_percent = serializers.FloatField(
        help_text="Relative standard uncertainty, percent of the answer."
    )
    share = serializers.FloatField(
        help_text="Of the squared standard uncertainty, 0 to 1."
    )


def _number(help_text: str) -> serializers.FloatField:
    return serializers.FloatField(allow_null=True, help_text=help_text)


class DetailsSerializer(Answered):
    """Limits of the method and tests of the line; null where there is none."""

    moderated_phi = _number("Residual variance used; 1 scatters as declared.")
    moderated_df = _number("Its degrees of freedom.")
    fieller_g = _number("Above 0.05 the interval is Fieller's.")
    molar_absorptivity = _number("L/(mol cm)")
    molar_absorptivity_se = _number("Its standard uncertainty, L/(mol cm).")
    mandel_f = _number("Mandel's test of a curve against the line.")
    mandel_p = _number("Its probability.")
    lack_of_fit_f = _number("Scatter about the line against that of replicates.")
    lack_of_fit_p = _number("Its probability.")
    detection_limit_mg_L = _number("In the tube, mg/L.")
    quantification_limit_mg_L = _number("In the tube, mg/L.")
    detection_limit_percent = _number("In the weighed solid, % by mass.")
    quantification_limit_percent = _number("In the weighed solid, % by mass.")


class ComputationSerializer(Answered):
    """One answer worked out the long way."""

    course = serializers.CharField()
    section_id = serializers.IntegerField()
    section = serializers.CharField()
    group_id = serializers.IntegerField()
    group = serializers.CharField()
    revision = serializers.IntegerField()
    iron_percent = serializers.FloatField(help_text="% by mass")
    standard_uncertainty = serializers.FloatField(help_text="% by mass")
    low = serializers.FloatField(help_text="Of the 95 % interval, % by mass.")
    high = serializers.FloatField(help_text="Of the 95 % interval, % by mass.")
    uses_fieller = serializers.BooleanField()
    coverage_factor = serializers.FloatField()
    effective_df = serializers.FloatField(help_text="By Welch and Satterthwaite.")
    class_n = serializers.IntegerField(
        help_text="Groups that lent their scatter; 0 for the group's own alone."
    )
    sources = SourceSerializer(many=True, help_text="Largest first.")
    details = DetailsSerializer()
    parts = PartSerializer(many=True)


class ComputationCheckSerializer(Answered):
    """What drawing an answer's inputs came to; iron contents in % by mass."""

    trials = serializers.IntegerField(help_text="Draws that gave an answer.")
    failed = serializers.IntegerField(help_text="Draws that gave none.")
    mean = serializers.FloatField()
    sd = serializers.FloatField()
    low = serializers.FloatField(help_text="Of the symmetric 95 % interval.")
    high = serializers.FloatField(help_text="Of the symmetric 95 % interval.")
    shortest_low = serializers.FloatField()
    shortest_high = serializers.FloatField()
    counts = serializers.ListField(
        child=serializers.IntegerField(), help_text="Of the histogram."
    )
    edges = serializers.ListField(
        child=serializers.FloatField(), help_text="One more than there are counts."
    )
    tolerance = serializers.FloatField(help_text="JCGM 101:2008, clause 8.")
    low_differs = serializers.FloatField()
    high_differs = serializers.FloatField()
    agrees = serializers.BooleanField(
        help_text="Whether neither end differs by more than the tolerance."
    )


class ToleranceSerializer(Answered):
    """One tolerance, and where it comes from."""

    item = serializers.CharField()
    value = serializers.FloatField(help_text="Limit, or standard uncertainty.")
    unit = serializers.CharField()
    distribution = serializers.CharField(help_text="What the value is taken as.")
    handling_sd = serializers.FloatField(help_text="Scatter of filling; 0 if none.")
    standard_uncertainty = serializers.FloatField(help_text="What follows from both.")
    standard = serializers.CharField(help_text="Where the value is found.")
    provenance = serializers.CharField(help_text="How far it was checked.")


class CourseTolerancesSerializer(Answered):
    """What every answer of a course rests on."""

    course = serializers.CharField()
    protocol_version = serializers.IntegerField()
    tolerances = ToleranceSerializer(many=True)
