"""The page of slips, laid out by frequency."""

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from frontend.comparing.drawing import BLUE, MOST_ROWS, Figure, finished
from frontend.comparing.headlines import slips_headline
from results.summaries.frequencies import SlipFrequencies
from results.summaries.slips import FindingCount

# Names of slips are broken so that bars keep half of a phone's width.
_LABEL_CHARS = 22


@dataclass(frozen=True, slots=True)
class SlipRow:
    """One slip and its share of the groups that could have it."""

    title: str
    n_groups: int
    of: int
    share: str


@dataclass(frozen=True, slots=True)
class SlipsPage:
    """Everything on the page."""

    headline: str
    bench: tuple[SlipRow, ...]
    bench_figure: Figure | None
    paper: tuple[SlipRow, ...]
    paper_figure: Figure | None


def slips_page(summary: SlipFrequencies) -> SlipsPage:
    """Lay the slips out."""
    return SlipsPage(
        headline=slips_headline(summary),
        bench=slip_rows(summary.at_the_bench, summary.n_groups),
        bench_figure=slips_figure(summary.at_the_bench),
        paper=slip_rows(summary.on_paper, summary.n_worked),
        paper_figure=slips_figure(summary.on_paper),
    )


def slip_rows(found: Sequence[FindingCount], of: int) -> tuple[SlipRow, ...]:
    """Put counts beside what they are counted among."""
    return tuple(
        SlipRow(one.title, one.n_groups, of, f"{one.n_groups / of:.0%}" if of else "–")
        for one in found
    )


def slips_figure(found: Sequence[FindingCount]) -> Figure | None:
    """Return how many groups have each slip; None without any."""
    drawn = found[:MOST_ROWS]
    if not drawn:
        return None
    names = ["<br>".join(textwrap.wrap(one.title, _LABEL_CHARS)) for one in drawn]
    n_lines = sum(max(1, name.count("<br>") + 1) for name in names)
    most = max(one.n_groups for one in drawn)
    return finished(
        [
            {
                "type": "bar",
                "orientation": "h",
                "x": [one.n_groups for one in drawn],
                "y": list(range(len(drawn))),
                "marker": {"color": BLUE},
                "text": [str(one.n_groups) for one in drawn],
                "textposition": "outside",
                "cliponaxis": False,
                "hovertemplate": "%{x} groups<extra></extra>",
            }
        ],
        {
            # Whole groups only: a step below one would name some places twice.
            "xaxis": {
                "title": {"text": "groups"},
                "rangemode": "tozero",
                "dtick": max(1, round(most / 4)),
            },
            "yaxis": {
                "tickmode": "array",
                "tickvals": list(range(len(drawn))),
                "ticktext": names,
                "autorange": "reversed",
                "automargin": True,
                "showgrid": False,
            },
            "margin": {"l": 64, "r": 40, "t": 8, "b": 56},
        },
        height=80 + 20 * n_lines + 12 * len(drawn),
        legend=False,
    )
