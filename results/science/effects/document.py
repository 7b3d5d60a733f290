"""Effects as plain data and back, for those who store them."""

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from results.science.effects.leave_out import LeftOut
from results.science.effects.result import (
    CrossedEffects,
    FactorEffects,
    LevelEffect,
    Verdict,
)

#: Of a document that `load` understands.
VERSION = 1
_WHOLE = ("n", "n_set_aside")
_REAL = (
    "effect",
    "se",
    "low",
    "high",
    "own",
    "own_se",
    "z",
    "p_adjusted",
    "median",
    "median_low",
    "median_high",
    "sd",
    "overlap",
)
_OTHER = ("level", "partner_factor", "partner_level", "is_firm")
# Six figures are more than any effect has.
_FIGURES = 6


def dump(effects: CrossedEffects) -> dict[str, Any]:
    """Return effects as data that JSON can hold, column by column.

    Levels have to be whole numbers or texts; what is not a number becomes None.
    """
    return {
        "n": effects.n,
        "overall": real(effects.overall),
        "sigma": real(effects.sigma),
        "set_aside": effects.set_aside.tolist(),
        "factors": {name: _dump(one) for name, one in effects.factors.items()},
    }


def load(document: Mapping[str, Any]) -> CrossedEffects:
    """Return the effects that `dump` wrote."""
    return CrossedEffects(
        n=document["n"],
        overall=number(document["overall"]),
        sigma=number(document["sigma"]),
        factors={name: _load(name, one) for name, one in document["factors"].items()},
        set_aside=np.array(document["set_aside"], dtype=np.int64),
    )


def real(value: float) -> float | None:
    """Return a number as stored: rounded, and None for one that is none."""
    if not math.isfinite(value):
        return None
    return float(f"{value:.{_FIGURES}g}")


def number(stored: float | None) -> float:
    """Return a stored number; NaN for None."""
    return float("nan") if stored is None else float(stored)


def _dump(one: FactorEffects) -> dict[str, Any]:
    levels = one.levels
    columns: dict[str, list[Any]] = {
        name: [getattr(level, name) for level in levels] for name in _WHOLE + _OTHER
    }
    columns |= {
        name: [real(getattr(level, name)) for level in levels] for name in _REAL
    }
    columns["verdict"] = [level.verdict.value for level in levels]
    return {
        "spread": real(one.spread),
        "is_declared": one.is_declared,
        "levels": columns,
        "left_out": {
            str(place): [
                [left.factor, _plain(left.level), real(left.effect), real(left.se)]
                for left in level.left_out
            ]
            for place, level in enumerate(levels)
            if level.left_out
        },
        "islands": {name: label.tolist() for name, label in one.islands.items()},
    }


def _plain(level: Any) -> Any:
    return level.item() if isinstance(level, np.generic) else level


def _load(name: str, stored: Mapping[str, Any]) -> FactorEffects:
    columns = stored["levels"]
    left_out = {
        int(place): tuple(
            LeftOut(factor, level, number(effect), number(se))
            for factor, level, effect, se in found
        )
        for place, found in stored["left_out"].items()
    }
    return FactorEffects(
        name=name,
        spread=number(stored["spread"]),
        is_declared=stored["is_declared"],
        levels=tuple(
            _level(columns, place, left_out.get(place, ()))
            for place in range(len(columns["verdict"]))
        ),
        islands={
            other: np.array(label, dtype=np.int64)
            for other, label in stored["islands"].items()
        },
    )


def _level(
    columns: Mapping[str, list[Any]], place: int, left_out: tuple[LeftOut, ...]
) -> LevelEffect:
    known: dict[str, Any] = {key: columns[key][place] for key in _WHOLE + _OTHER}
    known |= {key: number(columns[key][place]) for key in _REAL}
    return LevelEffect(
        verdict=Verdict(columns["verdict"][place]), left_out=left_out, **known
    )
