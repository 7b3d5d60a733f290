"""Slips: the codes with which groups sign in."""

import secrets
from collections.abc import Callable, Collection, Mapping
from datetime import datetime

from django.conf import settings
from django.db import IntegrityError, transaction

from results.models import Group, Section
from results.policy.access import Rights
from results.policy.codes import digest_code, draw_code, read_code
from results.policy.refusals import NotFound, NothingChosen, SlipsChanged
from results.summaries.paper import slips_mark

_MOST_DRAWS = 5


def issue_slip(
    group_id: int,
    *,
    now: datetime,
    draw_below: Callable[[int], int] = secrets.randbelow,
) -> str:
    """Give a group a new slip code and return it, as it stands on the slip.

    Only a digest is kept: the code cannot be shown again, and the group's
    former slip signs nobody in any more.
    """
    groups = list(Group.objects.filter(pk=group_id))
    return _issue(groups, now=now, draw_below=draw_below)[group_id]


def issue_section_slips(
    section_id: int,
    *,
    group_ids: Collection[int],
    rights: Rights,
    seen: str,
    now: datetime,
    draw_below: Callable[[int], int] = secrets.randbelow,
) -> dict[int, str]:
    """Give groups of a section new slip codes; return these, by group.

    Parameters
    ----------
    seen : str
        The mark (`summaries.paper.slips_mark`) of the slips that the asker saw. A
        page that is sent twice would otherwise end the slips that it has just shown.

    Raises
    ------
    NotFound
        There is no such section, or the asker has no duty in it.
    NothingChosen
        None of the section's groups was named.
    SlipsChanged
        Slips were made since.
    """
    with transaction.atomic():
        # The section's row is the lock under which its slips are made.
        section = Section.objects.select_for_update().filter(pk=section_id).first()
        if section is None or not rights.may_make_slips(section.pk, section.course_id):
            message = "There is no such section among yours."
            raise NotFound(message)
        groups = list(Group.objects.filter(section=section))
        if slips_mark(groups) != seen:
            raise SlipsChanged
        chosen = [group for group in groups if group.pk in group_ids]
        if not chosen:
            message = "Choose the groups that need a slip."
            raise NothingChosen(message)
        return _issue(chosen, now=now, draw_below=draw_below)


def issue_course_slips(
    group_ids: Mapping[int, Collection[int]],
    *,
    rights: Rights,
    seen: Mapping[int, str],
    now: datetime,
    draw_below: Callable[[int], int] = secrets.randbelow,
) -> dict[int, str]:
    """Give groups of several sections new slip codes at once; return these, by group.

    Each section by `issue_section_slips`, all of them or none: codes that nobody
    saw would sign nobody in.

    Parameters
    ----------
    group_ids, seen : mapping
        By section: the groups, and the mark of the slips that the asker saw.

    Raises
    ------
    NotFound, NothingChosen, SlipsChanged
        As `issue_section_slips`, of any of the sections; nothing was changed.
    """
    if not group_ids:
        message = "Choose the groups that need a slip."
        raise NothingChosen(message)
    codes: dict[int, str] = {}
    with transaction.atomic():
        # Locked in the order of their keys, so that two askers never wait crosswise.
        for section_id in sorted(group_ids):
            codes |= issue_section_slips(
                section_id,
                group_ids=group_ids[section_id],
                rights=rights,
                seen=seen.get(section_id, ""),
                now=now,
                draw_below=draw_below,
            )
    return codes


def _issue(
    groups: list[Group], *, now: datetime, draw_below: Callable[[int], int]
) -> dict[int, str]:
    for _ in range(_MOST_DRAWS):
        codes = {group.pk: draw_code(draw_below) for group in groups}
        for group in groups:
            code = read_code(codes[group.pk])
            group.slip_digest = digest_code(code, settings.SECRET_KEY)
            group.slip_issued_at = now
        try:
            with transaction.atomic():
                Group.objects.bulk_update(groups, ["slip_digest", "slip_issued_at"])
        except IntegrityError:
            # Another group has one of these very codes; the next draw will differ.
            continue
        return codes
    message = "No unused slip codes could be drawn."
    raise RuntimeError(message)
