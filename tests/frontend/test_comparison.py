import pytest
from numpy.random import default_rng

from frontend.comparison import (
    MOST_LISTED,
    compare,
    furthest_off,
    furthest_slopes,
)
from frontend.figures import findings_figure, recovery_figure, slopes_figure
from results.summaries.course import (
    CourseSummary,
    RecoveryPoint,
    SectionLine,
    SlopePoint,
)
from results.summaries.ellipse import class_ellipse
from results.summaries.medians import median_interval
from results.summaries.slips import FindingCount
from results.summaries.spread import Spread, spread_of

NEAR_ONE = (0.99, 1.0, 1.0, 1.01, 1.0, 0.995, 1.005)


def line(code, *recoveries):
    n = len(recoveries)
    return SectionLine(
        section_id=1,
        section=code,
        title="",
        n_groups=n,
        n_submitted=n,
        n_computed=n,
        n_waiting=0,
        n_to_visit=0,
        recovery=spread_of(recoveries),
        recoveries=recoveries,
    )


def course(*lines, slopes=(), findings=()):
    return CourseSummary(
        course_id=1,
        course="IRON-1",
        title="Iron, autumn",
        term="",
        college="",
        sections=lines,
        slopes=slopes,
        recoveries=tuple(
            RecoveryPoint(i, str(i), one.section, ratio)
            for one in lines
            for i, ratio in enumerate(one.recoveries, 1)
        ),
        slope=spread_of(point.slope for point in slopes),
        recovery=spread_of(ratio for one in lines for ratio in one.recoveries),
        findings=findings,
        parked=(),
    )


@pytest.mark.parametrize(
    ("lines", "headline"),
    [
        ([], "Nothing received yet in Iron, autumn"),
        ([line("A", 1.0, 1.01)], "Two answers so far: too few to compare sections"),
        ([line("A", *NEAR_ONE)], "No section stands out from the assigned values"),
        (
            [line("A", *NEAR_ONE), line("B", *(r + 0.1 for r in NEAR_ONE))],
            "Section B reads high; no other stands out",
        ),
        (
            [line(c, *(r - 0.1 for r in NEAR_ONE)) for c in "AB"],
            "Two of two sections read off the assigned values",
        ),
    ],
)
def test_the_headline_says_which_section_stands_out(lines, headline):
    assert compare(course(*lines)).headline == headline


def test_fewer_than_five_recoveries_have_no_interval():
    (row,) = compare(course(line("A", 1.2, 1.2, 1.2, 1.2))).rows

    assert row.interval is None
    assert row.claim == "too few groups to tell"


def test_the_interval_of_a_median_is_the_large_sample_one():
    # Standard error of a normal sample's median: sqrt(pi/2) sd/sqrt(n) (Kendall and
    # Stuart, The Advanced Theory of Statistics, vol. 1, from memory); t(0.975, 9)
    # = 2.262 (NIST/SEMATECH e-Handbook, section 1.3.6.7.2).
    interval = median_interval(Spread(n=10, median=1.0, sd=0.01))

    half = 2.262 * 1.2533 * 0.01 / 10**0.5
    assert interval.high - 1 == pytest.approx(half, rel=1e-3)


def test_an_ellipse_holds_its_share_and_ignores_what_is_far_out(make_pairs):
    x, y = make_pairs(4000)

    ellipse = class_ellipse([*x, 50.0], [*y, -50.0])

    # The widest x of a 95 % ellipse is sqrt(5.991) = 2.448 standard deviations
    # (chi-squared with 2 degrees of freedom, same handbook, 1.3.6.7.4).
    assert ellipse.n <= 4000
    assert (max(ellipse.x) - min(ellipse.x)) / 2 == pytest.approx(2.448, rel=0.04)


@pytest.fixture
def make_pairs():
    def make(n):
        rng = default_rng(7)
        return rng.standard_normal((2, n)).tolist()

    return make


@pytest.mark.parametrize("n", [0, 1, 4])
def test_too_few_pairs_have_no_ellipse(n):
    assert class_ellipse([0.1 * i for i in range(n)], [0.2] * n) is None


def test_the_cloud_of_slopes_says_how_many_lie_further_out():
    slopes = tuple(
        SlopePoint(i, str(i), "A", "4", 0.2 + 0.001 * (i % 5), 0.001 * (i % 3))
        for i in range(20)
    )
    wild = SlopePoint(99, "99", "A", "4", 0.001, 0.3)

    figure = slopes_figure(course(line("A", *NEAR_ONE), slopes=(*slopes, wild)))

    title = figure["layout"]["xaxis"]["title"]["text"]
    assert title == "intercept, absorbance<br>1 further out, in the table"


def test_a_section_without_claim_has_points_but_no_median():
    both = course(line("A", 1.0, 1.1), line("B", *NEAR_ONE))

    figure = recovery_figure(both, compare(both))

    groups, medians = figure["data"]
    assert len(groups["x"]) == 9
    assert list(medians["y"]) == ["B"]


def test_recoveries_far_off_are_counted_and_do_not_squeeze_the_others():
    one = course(line("A", *NEAR_ONE, 10.0, 0.1))

    figure = recovery_figure(one, compare(one))

    low, high = figure["layout"]["xaxis"]["range"]
    assert 0.9 < low < 1 < high < 1.1
    assert figure["layout"]["xaxis"]["title"]["text"].endswith(
        "2 further out, in the table"
    )


def test_recoveries_close_together_are_all_shown():
    one = course(line("A", *NEAR_ONE))

    figure = recovery_figure(one, compare(one))

    assert "range" not in figure["layout"]["xaxis"]


def test_recoveries_are_listed_furthest_off_first():
    points = course(line("A", 1.0, 10.0, -0.2, 0.2)).recoveries

    ratios = [point.ratio for point in furthest_off(points)]

    assert ratios == [-0.2, 10.0, 0.2, 1.0]


def test_very_many_sections_share_one_sign_and_those_furthest_off_are_drawn():
    lines = [line(f"A{k}", *NEAR_ONE) for k in range(60)]
    lines[7] = line("A7", *(3 * value for value in NEAR_ONE))
    slopes = tuple(SlopePoint(k, "1", f"A{k}", "4", 0.2, 0.0) for k in range(60))
    many = course(*lines, slopes=slopes)

    dots, *_ = slopes_figure(many)["data"]
    groups, medians = recovery_figure(many, compare(many))["data"]

    assert len(dots["x"]) == 60
    assert len(medians["y"]) == 40
    assert "A7" in medians["y"]
    assert set(groups["y"]) == set(medians["y"])


def test_a_table_of_slopes_holds_those_furthest_from_the_median():
    slopes = tuple(
        SlopePoint(k, "1", "A", "4", 0.2 + 1e-5 * (k % 7), 0.0) for k in range(300)
    )
    wild = SlopePoint(999, "1", "A", "4", 0.05, 0.0)

    listed = furthest_slopes(course(line("A", *NEAR_ONE), slopes=(*slopes, wild)))

    assert listed[0] == wild
    assert len(listed) == MOST_LISTED


@pytest.mark.parametrize(("most", "step"), [(3, 1), (30, 5)])
def test_groups_with_a_finding_are_counted_in_whole_steps(most, step):
    figure = findings_figure((FindingCount("a", "Often", most),))

    assert figure["layout"]["xaxis"]["dtick"] == step


def test_findings_are_drawn_most_frequent_first():
    counts = (FindingCount("a", "Often", 4), FindingCount("b", "Once", 1))

    figure = findings_figure(counts)

    assert list(figure["data"][0]["y"]) == ["Often", "Once"]
