"""Students: who is in a section, and with whom they work."""

from django.db import models
from django.db.models import Q

from results.models.course import Course, Group, Section


class Student(models.Model):
    """One person of a course's roster.

    `group` repeats the membership that has not ended, so that lists read one row.
    """

    course = models.ForeignKey(Course, models.CASCADE, related_name="students")
    section = models.ForeignKey(Section, models.CASCADE, related_name="students")
    group = models.ForeignKey(
        Group, models.SET_NULL, null=True, blank=True, related_name="students"
    )
    name = models.CharField(max_length=120)
    number = models.CharField(
        "number at the college",
        max_length=60,
        blank=True,
        help_text="What tells two people of one name apart; empty if there is none.",
    )
    left_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["group", "name", "number"], name="student_name_once_per_group"
            ),
            models.UniqueConstraint(
                fields=["course", "number"],
                condition=~Q(number=""),
                name="student_number_once_per_course",
            ),
            models.CheckConstraint(condition=~Q(name=""), name="student_has_a_name"),
            models.CheckConstraint(
                condition=Q(left_at__isnull=True) | Q(group__isnull=True),
                name="student_who_left_is_in_no_group",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Membership(models.Model):
    """One student in one group, until they go to another or leave."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="memberships")
    group = models.ForeignKey(Group, models.CASCADE, related_name="memberships")
    since = models.DateTimeField()
    until = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["student"],
                condition=Q(until__isnull=True),
                name="student_in_one_group_at_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.student} in {self.group}"
