"""Findings of a whole course: how often, shared on paper, or worth a word."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from results.policy.findings.patterns import is_shared, wants_a_word
from results.summaries.course_rows import CourseFinding, CourseRow


@dataclass(frozen=True, slots=True)
class FindingCount:
    """How many groups have a finding."""

    code: str
    title: str
    n_groups: int
    is_worked: bool = False


@dataclass(frozen=True, slots=True)
class SharedSlip:
    """A slip on paper that most of a section share: the handout may be the cause.

    Attributes
    ----------
    n_groups, n_worked : int
        Groups with the slip, and groups that gave a worked answer.
    sentence : str
        What it means, for coordinators.
    """

    section_id: int
    section: str
    code: str
    title: str
    n_groups: int
    n_worked: int
    sentence: str


@dataclass(frozen=True, slots=True)
class Named:
    """One group, and how likely a finding about it is."""

    group_id: int
    group: str
    section: str
    probability: float


@dataclass(frozen=True, slots=True)
class Conversation:
    """A finding that asks for a word with its groups, likeliest first."""

    code: str
    title: str
    sentence: str
    groups: tuple[Named, ...]


def count_findings(rows: Iterable[CourseRow]) -> tuple[FindingCount, ...]:
    """Count the groups with each finding, most frequent first."""
    first: dict[str, CourseFinding] = {}
    counts: dict[str, int] = {}
    for row in rows:
        for found in {one.code: one for one in row.findings}.values():
            first.setdefault(found.code, found)
            counts[found.code] = counts.get(found.code, 0) + 1
    return tuple(
        FindingCount(code, first[code].title, n, first[code].is_worked)
        for code, n in sorted(counts.items(), key=lambda item: (-item[1], item[0]))
    )


def shared_slips(
    by_section: Mapping[int, list[CourseRow]], codes: Mapping[int, str]
) -> tuple[SharedSlip, ...]:
    """Find the slips on paper that most of a section share.

    Parameters
    ----------
    by_section : mapping of int to list of CourseRow
    codes : mapping of int to str
        The sections' codes, in the order wanted.
    """
    found = []
    for section_id, code in codes.items():
        rows = by_section[section_id]
        n_worked = sum(row.gave_own for row in rows)
        on_paper = {one.code: one for row in rows for one in row.on_paper}
        found += [
            SharedSlip(
                section_id,
                code,
                count.code,
                count.title,
                count.n_groups,
                n_worked,
                on_paper[count.code].pattern,
            )
            for count in count_findings(rows)
            if count.is_worked and is_shared(count.n_groups, of=n_worked)
        ]
    return tuple(found)


def conversations(
    by_section: Mapping[int, list[CourseRow]], codes: Mapping[int, str]
) -> tuple[Conversation, ...]:
    """List the groups with whom somebody should talk before any mark is set."""
    groups: dict[tuple[str, str, str], list[Named]] = {}
    for section_id, rows in by_section.items():
        for row in rows:
            for one in row.at_the_bench:
                if wants_a_word(one.code, one.probability):
                    groups.setdefault((one.code, one.title, one.pattern), []).append(
                        Named(
                            row.group_id, row.group, codes[section_id], one.probability
                        )
                    )
    return tuple(
        Conversation(*key, tuple(sorted(named, key=lambda one: -one.probability)))
        for key, named in sorted(groups.items())
    )
