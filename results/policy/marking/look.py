"""Why a person should look at a grade before accepting it."""

from collections.abc import Iterable
from dataclasses import dataclass

from results.policy.findings import is_worked, wording
from results.policy.visits import State

#: A finding this likely changes what a grade should rest on.
_LIKELY = 0.5
#: As far off as this with nothing found, a person should see the readings.
_FAR_OFF_PERCENT = 10.0
# No harm to the answer, whatever else they say: a meter's factor on absorbance
# cancels between standards and unknown.
_HARMLESS = frozenset({"nominal_mass", "out_of_range", "meter_scale"})
_ALWAYS = frozenset({"same_readings", "worked_unexplained"})


@dataclass(frozen=True, slots=True)
class Noticed:
    """What of a finding matters here."""

    code: str
    probability: float
    harmless: bool = False


def reasons_to_look(
    state: State, noticed: Iterable[Noticed], *, error_percent: float | None
) -> tuple[str, ...]:
    """Return why to look, most telling first; empty if nothing stands out."""
    if state is State.NOT_SENT:
        return ("Nothing received",)
    if state is State.WAITING:
        return ("Still being computed",)
    if state is State.PARKED:
        return ("Could not be computed",)
    reasons = ["No answer"] if state is State.NO_ANSWER else []
    reasons += [wording(one.code).title for one in noticed if _tells(one)]
    if not reasons and abs(error_percent or 0.0) > _FAR_OFF_PERCENT:
        reasons.append("Far off, nothing found")
    return tuple(dict.fromkeys(reasons))


def _tells(one: Noticed) -> bool:
    if one.code in _ALWAYS:
        return not one.harmless
    if is_worked(one.code) or one.code in _HARMLESS:
        return False
    return one.probability >= _LIKELY
