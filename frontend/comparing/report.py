"""A course on one sheet of paper, for the weekly meeting."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from frontend.comparing.drawing import Figure
from frontend.comparing.headlines import claims_of_section, is_claim
from frontend.comparing.lots import lots_figure
from frontend.comparing.slips import SlipRow, slip_rows
from frontend.comparing.stations import stations_forest
from frontend.numerals import counted, fixed
from results.summaries.effects import (
    LotLine,
    LotsSummary,
    SectionsSummary,
    StationsSummary,
    WholeCourse,
)
from results.summaries.frequencies import SlipFrequencies

# What fits on a sheet of A4 beside two figures; the rest stands on its own page.
_MOST_SENTENCES = 2
_MOST_NAMED = 3
_MOST_SLIPS = 5
_MOST_STATIONS, _MOST_LOTS = 8, 6
_ROW_PX = 18
_WHAT = {"slope": "slopes", "recovery": "iron contents"}


@dataclass(frozen=True, slots=True)
class Matter:
    """What is said of stations, lots or sections.

    Attributes
    ----------
    kind, place : str
        Such as "Stations", and the name of the page with all of it.
    n_more : int
        Sentences that stand on that page only.
    otherwise : str
        What is said where there is nothing to say.
    """

    kind: str
    place: str
    sentences: tuple[str, ...]
    n_more: int
    otherwise: str


@dataclass(frozen=True, slots=True)
class ReportPage:
    """Everything on the sheet."""

    headline: str
    spread: str
    matters: tuple[Matter, ...]
    forest: Figure | None
    lots: Figure | None
    slips: tuple[SlipRow, ...]
    handouts: tuple[str, ...]
    cannot_tell: tuple[str, ...]


def report_page(whole: WholeCourse, slips: SlipFrequencies) -> ReportPage:
    """Put the course on one sheet."""
    stations, lots, sections = whole.stations, whole.lots, whole.sections
    asking = [
        *(f"station {one.station}" for one in stations.stations if one.sentences),
        *(f"lot {one.lot}" for one in lots.lots if one.proposals),
        *(
            f"section {one.section}"
            for one in sections.sections
            if claims_of_section(one)
        ),
        *dict.fromkeys(f"the handout of section {one.section}" for one in slips.shared),
    ]
    found = [
        *slip_rows(slips.at_the_bench, slips.n_groups),
        *slip_rows(slips.on_paper, slips.n_worked),
    ]
    found.sort(key=lambda row: -row.n_groups)
    return ReportPage(
        headline=_headline(asking, is_compared=stations.fitted_at is not None),
        spread="; ".join(
            f"{words} {fixed(sd, 1)} %"
            for response, words in _WHAT.items()
            if (sd := stations.effects.sd.get(response)) is not None
        ),
        matters=_matters(stations, lots, sections),
        forest=stations_forest(stations, most=_MOST_STATIONS, row_px=_ROW_PX),
        lots=lots_figure(lots.lots, most=_MOST_LOTS, row_px=_ROW_PX),
        slips=tuple(found[:_MOST_SLIPS]),
        handouts=tuple(
            f"Section {one.section}: {one.title}, {one.n_groups} of {one.n_worked} "
            f"worked answers. {one.sentence}"
            for one in slips.shared[:_MOST_SENTENCES]
        ),
        cannot_tell=tuple(
            dict.fromkeys(one.sentence for one in stations.effects.refused)
        ),
    )


def _headline(asking: list[str], *, is_compared: bool) -> str:
    if not asking:
        if is_compared:
            return "Nothing in the course asks for a look this week"
        return "Nothing has been compared yet"
    if len(asking) > _MOST_NAMED:
        n = counted(len(asking)).capitalize()
        return f"{n} matters ask for a look, first {asking[0]} and {asking[1]}"
    *most, last = asking
    who = f"{', '.join(most)} and {last}" if most else last
    verb = "asks" if len(asking) == 1 else "ask"
    return f"{who[:1].upper()}{who[1:]} {verb} for a look this week"


def _matters(
    stations: StationsSummary, lots: LotsSummary, sections: SectionsSummary
) -> tuple[Matter, ...]:
    return (
        _matter(
            "Stations",
            "compare-stations",
            (sentence for one in stations.stations for sentence in one.sentences),
            f"None of {len(stations.stations)} stands out beyond chance.",
        ),
        _matter(
            "Lots",
            "compare-lots",
            (sentence for one in lots.lots for sentence in _said_of_lot(one)),
            f"None of {len(lots.lots)} stands out beyond chance.",
        ),
        _matter(
            "Sections",
            "compare-sections",
            (
                line.sentence
                for one in sections.sections
                for line in claims_of_section(one)
            ),
            f"None of {len(sections.sections)} stands out beyond chance.",
        ),
    )


def _said_of_lot(one: LotLine) -> Iterator[str]:
    yield from one.proposals
    if one.effect and is_claim(one.effect):
        yield one.effect.sentence


def _matter(kind: str, place: str, sentences: Iterable[str], otherwise: str) -> Matter:
    said = tuple(sentences)
    return Matter(
        kind,
        place,
        said[:_MOST_SENTENCES],
        max(0, len(said) - _MOST_SENTENCES),
        otherwise,
    )
