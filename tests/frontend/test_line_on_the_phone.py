"""The phone's own line is the site's: the real scripts beside `results.science`."""

from dataclasses import asdict
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import frontend
from results.models import Answer
from results.science.answer import Readings, compute_answers
from results.science.dilution import parse_scheme
from results.science.line import fit_line
from results.summaries.concentrations import rules_of
from tests.factories import make_bench, slip_code, worked_off
from tests.frontend.browsers import sign_in, type_readings
from tests.frontend.chromium import CHROMIUM
from tests.science.schemes import TAKES_ML, scheme_document

pytestmark = pytest.mark.skipif(not CHROMIUM.exists(), reason=f"no browser: {CHROMIUM}")

SCRIPTS = Path(frontend.__file__).parent / "static" / "frontend"
CLOSE = 1e-9
READINGS = {
    "percent_T": {"scale": "percent_T", "step": 0.5, "sd": 0.3, "sd_relative": 0.002},
    "absorbance": {"scale": "absorbance", "step": 0.001, "sd": 0.002},
}
# Builds the boxes of a sheet as its page has them, and asks for its line.
SHEET = """
  ([sheets, rules]) => sheets.map((sheet) => {
    const form = document.createElement("form");
    Object.assign(form.dataset, { nominalMass: "0.21", massLow: "0", massHigh: "1" });
    const put = (name, value, also = {}) => {
      const box = Object.assign(document.createElement("input"), { name, value }, also);
      form.append(box);
    };
    const station = document.createElement("select");
    station.name = "station";
    const chosen = new Option("4", "4", true, true);
    Object.assign(chosen.dataset, { scale: sheet.station_scale, step: sheet.step });
    station.append(chosen);
    form.append(station);
    put("standard_mass_g", sheet.mass);
    for (const scale of ["percent_T", "absorbance"])
      put("scale", scale, { type: "radio", checked: scale === sheet.scale });
    sheet.rows.forEach(([tube, replicate, value, taken], i) => {
      put(`tube-${i}`, tube);
      put(`replicate-${i}`, replicate);
      put(`value-${i}`, value);
      if (replicate === 1) put(`taken-${i}`, taken);
    });
    const line = window.bench.ownLine(form, rules);
    return line && [line.slope, line.intercept];
  })
"""


@pytest.fixture(scope="module")
def calculator(chromium):
    page = chromium.new_page()
    page.set_content("<!doctype html><title>A blank page</title>")
    for name in ("words.js", "numbers.js", "live-line.js"):
        page.add_script_tag(path=SCRIPTS / name)
    yield page
    page.close()


@st.composite
def sheets(draw):
    """What one group typed: decimals as people type them, some tubes not read."""
    scale = draw(st.sampled_from(["percent_T", "absorbance"]))
    low, high, digits = {
        "percent_T": (2.0, 99.0, 1),
        "absorbance": (0.0, 2.0, 3),
    }[scale]
    value = st.floats(low, high).map(lambda number: round(number, digits))
    values = draw(st.lists(st.lists(value, max_size=2), min_size=5, max_size=5))
    takes = [
        draw(st.one_of(st.none(), st.floats(1, 60).map(lambda v: round(v, 2))))
        for _ in TAKES_ML
    ]
    return {
        "scale": scale,
        "station_scale": draw(st.sampled_from(["percent_T", "absorbance"])),
        "step": draw(st.sampled_from([0.0, 0.001, 0.1, 0.5, 1.0])),
        "mass": round(draw(st.floats(0.15, 0.3)), 4),
        "values": values,
        "takes": takes,
        "blank": draw(st.lists(value, max_size=2)),
    }


def boxes(sheet):
    rows = [
        [
            str(tube),
            replicate,
            f"{value}".replace(".", ","),
            "" if take is None else take,
        ]
        for tube, (values, take) in enumerate(
            zip(sheet["values"], sheet["takes"], strict=True), start=1
        )
        for replicate, value in enumerate(values, start=1)
    ]
    rows += [["blank", i, str(v), ""] for i, v in enumerate(sheet["blank"], start=1)]
    return {**sheet, "rows": rows}


def padded(values):
    return [*values, np.nan, np.nan][:2]


def as_readings(typed):
    nominal = np.array(TAKES_ML, dtype=float)
    taken = np.array(
        [
            [
                n if take is None else take
                for take, n in zip(s["takes"], nominal, strict=True)
            ]
            for s in typed
        ]
    )
    steps = [s["step"] if s["scale"] == s["station_scale"] else np.nan for s in typed]
    count = len(typed)
    return Readings(
        standard_mass_g=np.array([s["mass"] for s in typed]),
        unknown_mass_g=np.full(count, 0.25),
        standard_taken_mL=taken,
        unknown_taken_mL=np.full((count, 3), 25.0),
        standard_signal=np.array([[padded(v) for v in s["values"]] for s in typed]),
        unknown_signal=np.full((count, 3, 2), 0.4),
        is_absorbance=np.array([s["scale"] == "absorbance" for s in typed]),
        step=np.array(steps),
        blank_signal=np.array([padded(s["blank"]) for s in typed]),
    )


@pytest.mark.parametrize("use_blank", [False, True])
@pytest.mark.parametrize("declared", ["percent_T", "absorbance"])
def test_the_phone_draws_the_line_that_the_site_computes(
    calculator, declared, use_blank
):
    document = scheme_document() | {
        "reading": READINGS[declared],
        "use_blank": use_blank,
    }
    scheme = parse_scheme(document)
    rules = asdict(rules_of(scheme))
    seen = []

    @settings(max_examples=40)
    @given(st.lists(sheets(), min_size=1, max_size=10))
    def agree(typed):
        drawn = calculator.evaluate(SHEET, [[boxes(s) for s in typed], rules])
        answers = compute_answers(scheme, as_readings(typed))
        for line, slope, intercept in zip(
            drawn, answers.slope, answers.intercept, strict=True
        ):
            if line is None:
                assert np.isnan(slope)
                continue
            seen.append(slope)
            assert line[0] == pytest.approx(slope, rel=CLOSE, abs=CLOSE)
            assert line[1] == pytest.approx(intercept, rel=CLOSE, abs=CLOSE)

    agree()
    assert len(seen) > 20


@given(
    st.lists(
        st.tuples(st.floats(0, 10), st.floats(-0.1, 3)), min_size=3, max_size=12
    ).filter(lambda dots: np.ptp([x for x, _ in dots]) > 1e-3)
)
def test_without_weights_it_is_the_least_squares_line(calculator, dots):
    line = calculator.evaluate(
        "(dots) => window.bench.line(dots.map(([x, y]) => ({ x, y })))", dots
    )
    expected = fit_line(*np.array(dots).T)

    places = np.array([x for x, _ in dots])
    drawn = line["intercept"] + line["slope"] * places
    assert drawn == pytest.approx(
        expected.intercept + expected.slope * places, abs=CLOSE
    )


@pytest.mark.django_db(transaction=True)
def test_the_line_of_a_real_sheet_is_the_one_that_is_stored(tab):
    make_bench(slip=slip_code())
    sign_in(tab)
    type_readings(tab)
    again = tab.locator("[data-tube='2']")
    again.locator("summary").click()
    again.locator("[name^=value-]").nth(1).fill("84,5")
    again.locator("[name^=taken-]").fill("10,2")
    drawn = tab.evaluate(
        """() => window.bench.ownLine(
          document.querySelector("[data-sheet]"),
          JSON.parse(document.getElementById("line-rules").textContent))"""
    )

    tab.get_by_role("button", name="Send").click()
    tab.wait_for_url("**/bench/result/1/")
    worked_off()

    answer = Answer.objects.get()
    assert drawn["slope"] == pytest.approx(answer.slope, rel=CLOSE)
    assert drawn["intercept"] == pytest.approx(answer.intercept, abs=CLOSE)
