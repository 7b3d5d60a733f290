"""Comments to start from, made of what groups are told of their findings."""

from collections.abc import Iterable

from results.models import Grade
from results.policy.marking import Part, parts_from_json, prewritten_comment
from results.summaries.lines import FindingSummary, findings_for_students


def comments_to_start_from(grades: Iterable[Grade]) -> dict[int, str]:
    """Return a comment for each grade, by group; one query."""
    rows = list(grades)
    found = findings_for_students(
        row.submission_id for row in rows if row.submission_id
    )
    return {
        row.group_id: comment_to_start_from(
            parts_from_json(row.suggested["parts"]),
            found.get(row.submission_id or 0, ()),
        )
        for row in rows
    }


def comment_to_start_from(
    parts: tuple[Part, ...], findings: Iterable[FindingSummary]
) -> str:
    """Return a comment: where points went, what was found, what to look at."""
    sentences: list[str] = []
    for finding in findings:
        if finding.is_worked and not finding.harmless:
            sentences.append(finding.sentence)
        elif not finding.is_worked and not sentences:
            sentences.append(
                f"At the bench: {finding.title[:1].lower()}{finding.title[1:]}."
            )
    return prewritten_comment(parts, sentences)
