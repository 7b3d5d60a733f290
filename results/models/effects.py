"""What is wrong with a course rather than with its students, as last estimated."""

from django.db import models
from django.db.models import Q

from results.models.course import Course


class StoredEffects(models.Model):
    """Effects of stations, lots and sections, fitted to a course's current answers.

    Derived from answers alone and made anew in the background, so that pages about
    thousands of groups read one row.  `document` is written by
    `recompute.effects_document` and read by `summaries.effects`; a row with another
    `version` is as good as none.
    """

    course = models.OneToOneField(Course, models.CASCADE, related_name="stored_effects")
    fitted_at = models.DateTimeField()
    # Which answers and assigned values it rests on: due anew when any of them changes.
    n_answers = models.PositiveIntegerField()
    latest_answer_at = models.DateTimeField()
    values_digest = models.CharField(max_length=64)
    version = models.PositiveSmallIntegerField()
    document = models.JSONField()

    class Meta:
        verbose_name_plural = "stored effects"
        constraints = [
            models.CheckConstraint(
                condition=Q(n_answers__gte=1), name="effects_rest_on_an_answer"
            ),
            models.CheckConstraint(
                condition=Q(version__gte=1), name="effects_version_from_1"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.n_answers} answers"
