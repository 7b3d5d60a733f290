"""The groups of a section along its benches, and how those without one get theirs."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, replace

from results.policy.roster.filling import Odd, Seat, Wish, fill


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchGroup:
    """One group as it stands.

    Attributes
    ----------
    pk : int or None
        None for a group that is yet to be made.
    n_submissions, n_issues : int
        What it sent, and the vials that it ever held.
    """

    pk: int | None
    code: str
    place: int | None
    members: tuple[Seat, ...] = ()
    n_submissions: int = 0
    n_issues: int = 0
    has_slip: bool = False
    has_grade: bool = False
    has_draft: bool = False

    @property
    def is_dissolvable(self) -> bool:
        """Whether nothing but its code would be lost with it."""
        kept = self.has_grade or self.has_draft or self.n_submissions or self.n_issues
        return not (self.members or kept)


@dataclass(frozen=True, slots=True)
class Benches:
    """One section: its groups by place, and who is in none.

    Attributes
    ----------
    groups : tuple of BenchGroup
        By place; those without a place come last, by code.
    """

    section_id: int
    section: str
    groups: tuple[BenchGroup, ...]
    loose: tuple[Seat, ...]

    @property
    def n_submissions(self) -> int:
        """How many submissions the section has."""
        return sum(group.n_submissions for group in self.groups)


@dataclass(frozen=True, slots=True)
class Filling:
    """What filling does in one section.

    Attributes
    ----------
    groups : tuple of BenchGroup
        The groups whose members change or that are made, as they would be.
    refused : str
        Why nothing is done here though people asked for it; else empty.
    warnings : tuple of str
    """

    section_id: int
    section: str
    groups: tuple[BenchGroup, ...] = ()
    refused: str = ""
    warnings: tuple[str, ...] = ()

    @property
    def n_people(self) -> int:
        """How many people the groups have."""
        return sum(len(group.members) for group in self.groups)


def by_place(group: BenchGroup) -> tuple[bool, int, bool, int, str]:
    """Order groups by place; without one by code, "2" before "10"."""
    is_number = group.code.isascii() and group.code.isdecimal()
    return (
        group.place is None,
        group.place or 0,
        not is_number,
        int(group.code) if is_number else 0,
        group.code,
    )


def filling_mark(benches: Iterable[Benches], wish: Wish) -> str:
    """Return a mark that changes with people, groups, submissions and the wish."""
    told = "\n".join([repr(wish), *(repr(one) for one in benches)])
    return hashlib.sha256(told.encode()).hexdigest()[:32]


def plan_filling(benches: Benches, wish: Wish) -> Filling:
    """Return the groups that a section gets."""
    if wish.anew and benches.n_submissions:
        return _unfilled(
            benches,
            f"Section {benches.section} has submissions; its groups stay as they are.",
        )
    if wish.anew:
        return _anew(benches, wish)
    groups = fill(benches.loose, wish)
    joined = _joined(benches, groups, wish)
    if joined:
        return Filling(benches.section_id, benches.section, joined)
    seated = _seated(benches, groups)
    made = _made(benches.groups, groups[len(seated) :])
    return Filling(
        benches.section_id,
        benches.section,
        (*seated, *made),
        warnings=_held(seated),
    )


def _unfilled(benches: Benches, reason: str) -> Filling:
    return Filling(benches.section_id, benches.section, refused=reason)


def _joined(
    benches: Benches, groups: tuple[tuple[Seat, ...], ...], wish: Wish
) -> tuple[BenchGroup, ...]:
    """Return present groups made larger by those who are too few for a group.

    Only groups that have sent nothing, the smallest first; nobody joins if there
    are not enough of them.
    """
    if wish.odd is not Odd.LARGER or len(groups) != 1 or len(groups[0]) >= wish.size:
        return ()
    (over,) = groups
    open_groups = sorted(
        (
            group
            for group in benches.groups
            if not group.n_submissions and 0 < len(group.members) <= wish.size
        ),
        key=lambda group: len(group.members),
    )
    if len(open_groups) < len(over):
        return ()
    return tuple(
        replace(group, members=(*group.members, seat))
        for group, seat in zip(open_groups, over, strict=False)
    )


def _seated(
    benches: Benches, groups: tuple[tuple[Seat, ...], ...]
) -> tuple[BenchGroup, ...]:
    """Return the groups that were made and have nobody yet, filled in their order."""
    empty = sorted(
        (one for one in benches.groups if not one.members and not one.n_submissions),
        key=by_place,
    )
    return tuple(
        replace(group, members=members)
        for group, members in zip(empty, groups, strict=False)
    )


def _made(
    present: tuple[BenchGroup, ...], groups: Iterable[tuple[Seat, ...]]
) -> tuple[BenchGroup, ...]:
    code = next_number(group.code for group in present)
    place = max((group.place or 0 for group in present), default=0) + 1
    return tuple(
        BenchGroup(pk=None, code=str(code + n), place=place + n, members=members)
        for n, members in enumerate(groups)
    )


def next_number(codes: Iterable[str]) -> int:
    """Return the number after the largest of those codes that are numbers.

    Examples
    --------
    >>> next_number(["2", "10", "north"])
    11
    """
    return max((int(c) for c in codes if c.isascii() and c.isdecimal()), default=0) + 1


def _anew(benches: Benches, wish: Wish) -> Filling:
    """Put everybody of a section into groups: present ones first, in their order."""
    seated = [seat for group in benches.groups for seat in group.members]
    filled = fill([*seated, *benches.loose], wish)
    n_present = len(benches.groups)
    changed = [
        replace(group, members=members)
        for group, members in zip(
            benches.groups,
            [*filled[:n_present], *[()] * (n_present - len(filled))],
            strict=True,
        )
        if set(group.members) != set(members)
    ]
    groups = (*changed, *_made(benches.groups, filled[n_present:]))
    return Filling(benches.section_id, benches.section, groups, warnings=_held(changed))


def _held(groups: Iterable[BenchGroup]) -> tuple[str, ...]:
    groups = tuple(groups)
    vials = [group.code for group in groups if group.n_issues]
    slips = [group.code for group in groups if group.has_slip]
    return tuple(
        f"{what} already given to group {', '.join(codes)} stay with the group, "
        "whoever is in it then."
        for what, codes in (("Vials", vials), ("Slips", slips))
        if codes
    )
