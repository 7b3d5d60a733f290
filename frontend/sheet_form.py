"""The bench sheet as its template draws it: boxes with what is in and beside them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from frontend.pictures import tint
from frontend.typed_sheet import TypedSheet, ordered_tubes
from results.policy.language import marked, tell
from results.policy.refusals import Problem
from results.policy.typed import BLANK, OWN_FIELDS
from results.summaries.bench import BenchSheet, TubeSheet

_OWN_LABELS = {
    "own_slope": marked("Slope of your line, L/mg"),
    "own_intercept": marked("Intercept of your line"),
    "own_unknown_mg_L": marked("Iron in your unknown tubes, mg/L"),
    "own_iron_percent": marked("Iron in your unknown, % by mass"),
    "own_iron_mg": marked("Iron in the unknown’s first flask, mg"),
}
READINGS_ANCHOR = "readings"


@dataclass(frozen=True, slots=True)
class Box:
    """One box to type in; its name is also its id."""

    name: str
    label: str
    value: str
    problems: tuple[str, ...]

    @property
    def described_by(self) -> str:
        """Ids of the texts that belong to the box, its problems first."""
        return f"{self.name}-problem" if self.problems else ""


@dataclass(frozen=True, slots=True)
class ReadingBox:
    """One box for a meter value."""

    index: int
    replicate: str
    box: Box


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeCard:
    """One tube with all its boxes.

    Attributes
    ----------
    tint : int
        Shade of its expected colour, 1 to 6; 0 where it is not known.
    factor : float
        mg/L for each gram weighed and millilitre taken; 0 for unknowns.
    """

    label: str
    kind: str
    take_mL: float | None
    make_up_mL: float | None
    delivery: str
    tint: int
    factor: float
    is_left_out: bool
    first: ReadingBox
    more: tuple[ReadingBox, ...]
    taken: Box

    @property
    def further_blanks(self) -> tuple[ReadingBox, ...]:
        """Readings of a blank after the two that have places of their own."""
        return self.more[1:]

    @property
    def further_is_open(self) -> bool:
        """Whether those further readings are to be shown from the start."""
        return any(r.box.value or r.box.problems for r in self.further_blanks)

    @property
    def is_open(self) -> bool:
        """Whether the less usual boxes are to be shown from the start."""
        boxes = (self.taken, *(reading.box for reading in self.more))
        return any(box.value or box.problems for box in boxes)


@dataclass(frozen=True, slots=True)
class ProblemLink:
    """One line of the list of problems: what to mend, and where to go."""

    anchor: str
    message: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetForm:
    """Everything on the sheet that can be typed."""

    key: str
    scale: str
    station: Box
    vial: Box
    standard_mass_g: Box
    unknown_mass_g: Box
    standards: tuple[TubeCard, ...]
    blanks: tuple[TubeCard, ...]
    unknowns: tuple[TubeCard, ...]
    own: tuple[Box, ...]
    readings_problems: tuple[str, ...]
    problems: tuple[ProblemLink, ...]

    @property
    def own_is_open(self) -> bool:
        """Whether the group's own worked answer is to be shown from the start."""
        return any(box.value or box.problems for box in self.own)


def anchor_of(problem: Problem, typed: TypedSheet) -> str:
    """Return the box that a problem belongs to."""
    match problem.where:
        case ("readings", int(index), "taken_mL"):
            return f"taken-{typed.first_row(index)}"
        case ("readings", int(index), *_):
            return f"value-{index}"
        case (str(name), *_):
            return name
    return READINGS_ANCHOR


def sheet_form(
    sheet: BenchSheet,
    typed: TypedSheet,
    *,
    key: str,
    factors: dict[str, float],
    problems: Iterable[Problem] = (),
) -> SheetForm:
    """Lay out a sheet with what was typed and what is to be mended."""
    links = tuple(
        # A volume stands once for all readings of its tube, so its problem does too.
        dict.fromkeys(ProblemLink(anchor_of(p, typed), p.message) for p in problems)
    )
    desk = _Desk(sheet, typed, links, factors)
    cards = desk.cards()
    return SheetForm(
        key=key,
        scale=typed.scale.value,
        station=desk.box("station", tell("Station")),
        vial=desk.box("vial", tell("Vial")),
        standard_mass_g=desk.box("standard_mass_g", tell("Iron salt weighed")),
        unknown_mass_g=desk.box("unknown_mass_g", tell("Unknown weighed")),
        standards=tuple(card for card in cards if card.kind == "standard"),
        blanks=tuple(card for card in cards if card.kind == "blank"),
        unknowns=tuple(
            card for card in cards if card.kind not in {"standard", "blank"}
        ),
        own=tuple(desk.box(name, tell(_OWN_LABELS[name])) for name in OWN_FIELDS),
        readings_problems=desk.problems_at(READINGS_ANCHOR),
        problems=links,
    )


def own_boxes(
    values: Mapping[str, str], problems: Iterable[Problem] = ()
) -> tuple[Box, ...]:
    """Return the boxes of a group's own worked answer."""
    said: dict[str, list[str]] = {}
    for problem in problems:
        said.setdefault(str(problem.where[0]), []).append(problem.message)
    return tuple(
        Box(name, tell(label), values.get(name, ""), tuple(said.get(name, ())))
        for name, label in _OWN_LABELS.items()
    )


class _Desk:
    """Puts what was typed and what was said of it side by side."""

    def __init__(
        self,
        sheet: BenchSheet,
        typed: TypedSheet,
        links: tuple[ProblemLink, ...],
        factors: dict[str, float],
    ) -> None:
        self.sheet = sheet
        self.typed = typed
        self.links = links
        self.factors = factors

    def problems_at(self, name: str) -> tuple[str, ...]:
        return tuple(link.message for link in self.links if link.anchor == name)

    def box(self, name: str, label: str) -> Box:
        return Box(name, label, self.typed.get(name), self.problems_at(name))

    def cards(self) -> list[TubeCard]:
        tubes = ordered_tubes(self.sheet)
        tints = _tints(tubes)
        known = {tube.label: tube for tube in tubes}
        by_tube: dict[str, list[int]] = {}
        for index, row in enumerate(self.typed.rows):
            by_tube.setdefault(row.tube, []).append(index)
        cards = []
        for label, indexes in by_tube.items():
            tube = known.get(label)
            first, *more = (self._reading(label, index) for index in indexes)
            cards.append(
                TubeCard(
                    label=label,
                    kind=_kind(label, tube),
                    take_mL=tube.take_mL if tube else None,
                    make_up_mL=tube.make_up_mL if tube else None,
                    delivery=tube.delivery if tube else "",
                    tint=tints.get(label, 0),
                    factor=self.factors.get(label, 0.0),
                    is_left_out=label in self.typed.left_out,
                    first=first,
                    more=tuple(more),
                    taken=self.box(
                        f"taken-{indexes[0]}",
                        tell("Tube {tube}: volume taken", tube=label),
                    ),
                )
            )
        return cards

    def _reading(self, label: str, index: int) -> ReadingBox:
        replicate = self.typed.rows[index].replicate
        if label == BLANK:
            name = tell("Blank, reading {n}", n=replicate)
        elif replicate == "1":
            name = tell("Tube {tube}", tube=label)
        else:
            name = tell("Tube {tube}, reading {n}", tube=label, n=replicate)
        return ReadingBox(index, replicate, self.box(f"value-{index}", name))


def _kind(label: str, tube: TubeSheet | None) -> str:
    if tube is not None:
        return tube.kind
    return "blank" if label == BLANK else "other"


def _tints(tubes: tuple[TubeSheet, ...]) -> dict[str, int]:
    """Return the shade of each standard, as the picture of its line has it."""
    strengths = {
        tube.label: tube.take_mL / tube.make_up_mL
        for tube in tubes
        if tube.kind == "standard"
    }
    strongest = max(strengths.values(), default=1.0)
    return {label: tint(value / strongest) for label, value in strengths.items()}
