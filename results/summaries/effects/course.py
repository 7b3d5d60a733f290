"""All effects of a course, and contrasts between any two levels."""

import math
from dataclasses import dataclass
from datetime import datetime

from results.policy.access import Rights
from results.policy.claims import Response, cannot_separate_sentence
from results.policy.refusals import NotFound
from results.science.effects import FactorEffects, Verdict
from results.summaries.effects.lines import (
    EffectLine,
    EffectTable,
    effect_table,
    shown,
)
from results.summaries.effects.names import Names
from results.summaries.effects.stored import Stored, stored_effects

# Nobody asks for contrasts between weeks or assistants one by one.
_ASKED_ABOUT = frozenset({"station", "section", "lot"})


@dataclass(frozen=True, slots=True)
class RefusedContrast:
    """Levels between which differences cannot be told from another factor's.

    Attributes
    ----------
    sets : tuple of tuple of str
        Within each set contrasts are allowed, between sets they are not.
    """

    response: str
    factor: str
    other: str
    sets: tuple[tuple[str, ...], ...]
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseEffects:
    """What is wrong with a course rather than with its students.

    Attributes
    ----------
    fitted_at : datetime or None
        None if nothing was compared yet.
    n_answers, n_left_out : int
        Answers compared; groups left out because of likely slips of their own.
    n_set_aside : dict of str to int
        By response, groups that were given no weight.
    sd : dict of str to float
        By response, usual standard deviation between groups.
    """

    course_id: int
    course: str
    title: str
    fitted_at: datetime | None
    n_answers: int
    n_left_out: int
    n_set_aside: dict[str, int]
    sd: dict[str, float]
    tables: tuple[EffectTable, ...]
    refused: tuple[RefusedContrast, ...]

    def table(self, response: str, factor: str) -> EffectTable | None:
        """Return one table, if the class has the levels for it."""
        return next(
            (
                one
                for one in self.tables
                if (one.response, one.factor) == (response, factor)
            ),
            None,
        )

    @property
    def claims(self) -> tuple[EffectLine, ...]:
        """Everything that differs or cannot be told, furthest off first."""
        found = [
            line
            for table in self.tables
            for line in table.lines
            if line.verdict in {Verdict.DIFFERS, Verdict.CANNOT_TELL}
        ]
        return tuple(sorted(found, key=lambda line: -abs(line.z)))


def course_effects(course_code: str, *, rights: Rights) -> CourseEffects:
    """Return all effects of a course; at most six queries, however many groups.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    stored = stored_effects(course_code, rights=rights)
    return effects_of(stored, Names(stored.course.pk))


def effects_of(stored: Stored, names: Names) -> CourseEffects:
    """Return all effects in a stored document."""
    fitted = {
        response: effects
        for response in Response
        if (effects := stored.fitted(response)) is not None
    }
    return CourseEffects(
        course_id=stored.course.pk,
        course=stored.course.code,
        title=stored.course.title,
        fitted_at=stored.fitted_at,
        n_answers=stored.n_answers,
        n_left_out=len(stored.document.get("left_out", ())),
        n_set_aside={r.value: int(e.set_aside.size) for r, e in fitted.items()},
        sd={r.value: shown(r, e.sigma) for r, e in fitted.items()},
        tables=tuple(
            effect_table(response, effects, among, names)
            for response, effects in fitted.items()
            for among in effects.factors.values()
        ),
        refused=tuple(
            _refused(response, among, other, names)
            for response, effects in fitted.items()
            for among in effects.factors.values()
            for other, label in among.islands.items()
            if among.name in _ASKED_ABOUT and int(label.max(initial=0)) > 0
        ),
    )


@dataclass(frozen=True, slots=True)
class ShownContrast:
    """Two levels compared; in percent, a bend in standard deviations.

    Attributes
    ----------
    refusal : str
        Why they cannot be compared; the numbers are NaN then.
    """

    effect: float
    low: float
    high: float
    refusal: str = ""


def contrast(
    course_code: str,
    response: Response,
    factor: str,
    first_id: int,
    second_id: int,
    *,
    rights: Rights,
) -> ShownContrast:
    """Compare two levels, or say why that is refused; two queries.

    Raises
    ------
    NotFound
        There is no such course, or none of the levels was compared in it.
    """
    effects = stored_effects(course_code, rights=rights).fitted(response)
    among = effects.factors.get(factor) if effects else None
    known = {one.level for one in among.levels} if among else set()
    if effects is None or among is None or not {first_id, second_id} <= known:
        message = f"These {factor}s have not been compared."
        raise NotFound(message)
    other = among.separated_by(first_id, second_id)
    if other:
        refusal = cannot_separate_sentence(factor, other)
        return ShownContrast(math.nan, math.nan, math.nan, refusal)
    found = effects.contrast(factor, first_id, second_id)
    return ShownContrast(
        shown(response, found.effect),
        shown(response, found.low),
        shown(response, found.high),
    )


def _refused(
    response: Response, among: FactorEffects, other: str, names: Names
) -> RefusedContrast:
    sets: dict[int, list[str]] = {}
    for one, label in zip(among.levels, among.islands[other].tolist(), strict=True):
        sets.setdefault(label, []).append(names.of(among.name, one.level))
    return RefusedContrast(
        response=response.value,
        factor=among.name,
        other=other,
        sets=tuple(tuple(sorted(one)) for one in sets.values()),
        sentence=cannot_separate_sentence(among.name, other),
    )
