"""What a group's phones have typed and not sent: never graded, never computed."""

from typing import Any

from django.db import models
from django.db.models import Q

from results.models.course import Group
from results.policy.drafts import LONGEST_FIELD, LONGEST_VALUE

# By hand, as in `intake.at_bench`: phones send a box at a time, while a whole course
# types within minutes.
_SHEET = """
SELECT edit.*, draft.id AS of_draft, draft.version AS of_version
  FROM results_sheetdraft draft
  LEFT JOIN results_draftedit edit ON edit.draft_id = draft.id
 WHERE draft.group_id = %s
"""


class SheetDrafts(models.Manager["SheetDraft"]):
    """Drafts with their edits."""

    def locked(self, group_id: int) -> tuple["SheetDraft", list["DraftEdit"]]:
        """Return a group's draft and edits, and let nobody else change either.

        The group's row is the lock, as for its submissions. To be called within a
        transaction; one query, and one for the lock.
        """
        Group.objects.lock(group_id)
        return self.opened(group_id)

    def opened(self, group_id: int) -> tuple["SheetDraft", list["DraftEdit"]]:
        """Return a group's draft and edits; one not begun if it has none; one query."""
        rows: list[Any] = list(DraftEdit.objects.raw(_SHEET, [group_id]))
        draft = SheetDraft(group_id=group_id)
        if rows:
            draft.pk, draft.version = rows[0].of_draft, rows[0].of_version
        return draft, [row for row in rows if row.pk is not None]


class SheetDraft(models.Model):
    """The sheet that a group's phones type on; `version` rises with every change."""

    group = models.ForeignKey(Group, models.CASCADE, related_name="drafts")
    version = models.PositiveBigIntegerField(default=0)

    objects = SheetDrafts()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["group"], name="sheet_draft_once_per_group")
        ]

    def __str__(self) -> str:
        return f"draft, version {self.version}"

    @property
    def is_begun(self) -> bool:
        """Whether anything was typed, so that it is on record."""
        return self.pk is not None


class DraftEdit(models.Model):
    """One edit of one box; the standing one, or an earlier one behind it."""

    draft = models.ForeignKey(SheetDraft, models.CASCADE, related_name="edits")
    field = models.CharField(max_length=LONGEST_FIELD)
    value = models.CharField(max_length=LONGEST_VALUE, blank=True)
    phone = models.CharField(max_length=32)
    # By the phone's clock, ms: with the phone, it tells an edit that came twice.
    stamp = models.BigIntegerField()
    edited_at = models.DateTimeField()
    is_standing = models.BooleanField()
    # The revision that has this value; empty while none has.
    sent_with = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["draft", "field"],
                condition=Q(is_standing=True),
                name="draft_edit_standing_once_per_field",
            ),
            models.UniqueConstraint(
                fields=["draft", "field", "phone", "stamp"],
                name="draft_edit_once_per_phone_and_stamp",
            ),
            models.CheckConstraint(
                condition=~Q(field="") & ~Q(phone=""), name="draft_edit_field_named"
            ),
            models.CheckConstraint(
                condition=Q(sent_with__isnull=True) | Q(is_standing=True),
                name="draft_edit_sent_if_standing",
            ),
        ]

    def __str__(self) -> str:
        return self.field
