"""Symmetric 3 x 3 matrices of N groups, as their six entries of shape (N,).

The order is that of the upper triangle, row by row.
"""

import numpy as np

from results.science.arrays import FloatArray


def inverse(m: tuple[FloatArray, ...]) -> tuple[tuple[FloatArray, ...], FloatArray]:
    """Inverse and log determinant of symmetric 3 x 3 matrices."""
    a, b, c, d, e, f = m
    aa, bb, cc = d * f - e * e, c * e - b * f, b * e - c * d
    det = a * aa + b * bb + c * cc
    dd, ee, ff = a * f - c * c, b * c - a * e, a * d - b * b
    return tuple(x / det for x in (aa, bb, cc, dd, ee, ff)), np.log(det)


def times(
    m: tuple[FloatArray, ...], v: tuple[FloatArray, FloatArray, FloatArray]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Product Mv."""
    a, b, c, d, e, f = m
    return (
        a * v[0] + b * v[1] + c * v[2],
        b * v[0] + d * v[1] + e * v[2],
        c * v[0] + e * v[1] + f * v[2],
    )


def quadratic(
    m: tuple[FloatArray, ...], v: tuple[FloatArray, FloatArray, FloatArray]
) -> FloatArray:
    """Quadratic form v'Mv."""
    turned = times(m, v)
    return v[0] * turned[0] + v[1] * turned[1] + v[2] * turned[2]
