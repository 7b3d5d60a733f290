"""The equations of the crossed model, solved piece by piece or as one matrix."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from results.science.effects.arrangement import WIDE
from results.science.effects.design import factors_of
from results.science.effects.equations import Equations
from results.science.effects.small import SmallEquations, equations_of
from tests.exam.crossed import Layout, place


def dense_solution(factors, weight, y, precision):
    """The same equations as one full matrix."""
    columns = [np.eye(len(one))[one.codes] for one in factors]
    design = np.hstack([*columns, np.ones((y.size, 1))])
    matrix = design.T @ (weight[:, None] * design) + np.diag(precision)
    inverse = np.linalg.inv(matrix)
    return inverse @ (design.T @ (weight * y)), np.diag(inverse)


@pytest.mark.parametrize("rooms", [1, 3])
@pytest.mark.parametrize("wide", [WIDE, 10])
def test_piecewise_solution_is_that_of_the_full_equations(rooms, wide, monkeypatch):
    # A limit that real courses reach only with hundreds of stations, set low.
    monkeypatch.setattr("results.science.effects.arrangement.WIDE", wide)
    rng = np.random.default_rng(rooms)
    labels = place(rng, Layout(rooms=rooms))
    factors = factors_of(labels, np.ones(360, dtype=bool), {})
    weight, y = rng.uniform(0, 2, 360), rng.normal(0, 1, 360)
    precision = np.append(rng.uniform(0.5, 2, sum(map(len, factors))), 0.0)

    solved = Equations(factors).solve(weight, y, precision)

    effect, variance = dense_solution(factors, weight, y, precision)
    assert_allclose(solved.effect, effect, rtol=1e-8, atol=1e-10)
    assert_allclose(solved.variance, variance, rtol=1e-8)


def test_small_class_solved_as_one_matrix_comes_out_the_same():
    rng = np.random.default_rng(5)
    labels = place(rng, Layout())
    factors = factors_of(labels, np.ones(360, dtype=bool), {})
    weight, y = rng.uniform(0, 2, 360), rng.normal(0, 1, 360)
    precision = np.append(rng.uniform(0.5, 2, sum(map(len, factors))), 0.0)

    one, other = (
        form(factors).solve(weight, y, precision)
        for form in (SmallEquations, Equations)
    )

    assert isinstance(equations_of(factors), SmallEquations)
    assert_allclose(one.effect, other.effect, rtol=1e-9, atol=1e-12)
    assert_allclose(one.variance, other.variance, rtol=1e-9)


def test_equations_without_a_unique_solution_are_refused():
    factors = factors_of({"station": [0, 0, 1]}, np.ones(3, dtype=bool), {})

    with pytest.raises(np.linalg.LinAlgError, match="no unique solution"):
        SmallEquations(factors).solve(np.zeros(3), np.zeros(3), np.zeros(3))


def test_memory_grows_no_faster_than_the_rows():
    def stored(sections, stations, rooms):
        labels = place(np.random.default_rng(0), Layout(sections, 12, stations, rooms))
        rows = np.ones(12 * sections, dtype=bool)
        order = Equations(factors_of(labels, rows, {}))._order
        return sum((block.stop - block.start) ** 2 for block in order.blocks)

    # Rooms of thirty stations: five times the rooms, five times the numbers.
    assert 0 < stored(2000, 1500, 50) <= 5 * stored(400, 300, 10)
