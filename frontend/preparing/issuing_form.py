"""The form with which a plan is asked for."""

from dataclasses import dataclass, field

from django.http import QueryDict

from frontend.pressed import is_number, row_number
from results.policy.issuing import IssuingWish, read_wish
from results.summaries.preparing.issue_book import BookRow, IssueBook

_TICKS = ("again", "may_share", "no_stations", "new_stations")
# More rooms than these are no rooms but benches.
_MOST_ROOMS = 12


@dataclass(frozen=True, slots=True)
class SectionTick:
    """One section to be chosen, with the room that it keeps to."""

    section_id: int
    section: str
    n_groups: int
    n_without: int
    is_chosen: bool
    room: str


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuingForm:
    """What is in the form.

    Attributes
    ----------
    only : BookRow or None
        The one group that is to get another vial.
    ticks : dict of str to bool
    wrong : dict of str to str
        What needs mending, by box.
    """

    only: BookRow | None
    sections: tuple[SectionTick, ...]
    rooms: tuple[str, ...]
    seed: str
    reason: str
    ticks: dict[str, bool]
    wrong: dict[str, str] = field(default_factory=dict)

    @property
    def names_rooms(self) -> bool:
        """Whether a section was given a room."""
        return any(one.room for one in self.sections)


def wish_of(typed: QueryDict) -> IssuingWish:
    """Return the wish that a form hands back.

    Raises
    ------
    NotAdmitted
        Something needs mending; all of it is named.
    """
    chosen = [row_number(one) for one in typed.getlist("section") if is_number(one)]
    rooms = {
        row_number(name.removeprefix("room-")): room
        for name, room in typed.items()
        if name.startswith("room-") and isinstance(room, str)
    }
    boxes = {name: str(value) for name, value in typed.items()}
    group = row_number(boxes.get("group", ""))
    return read_wish(boxes, sections=chosen, group=group, rooms=rooms)


def issuing_form(
    book: IssueBook, typed: QueryDict, *, seed: int, wrong: dict[str, str]
) -> IssuingForm:
    """Lay out the form: as typed, or at first with every section that lacks vials.

    Raises
    ------
    NotFound
        Another vial is asked for a group that the course does not have.
    """
    group = row_number(str(typed.get("group", "")))
    chosen = set(typed.getlist("section"))
    is_new = "seed" not in typed
    return IssuingForm(
        only=book.row(group) if group else None,
        sections=tuple(
            SectionTick(
                one.section_id,
                one.section,
                len(one.rows),
                one.n_without,
                one.n_without > 0 if is_new else str(one.section_id) in chosen,
                str(typed.get(f"room-{one.section_id}", "")),
            )
            for one in book.sections
        ),
        rooms=book.rooms if 1 < len(book.rooms) <= _MOST_ROOMS else (),
        seed=str(typed.get("seed", seed)),
        reason=str(typed.get("reason", "")),
        ticks={name: name in typed for name in _TICKS},
        wrong=wrong,
    )
