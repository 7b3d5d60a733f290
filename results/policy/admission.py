"""Which submissions are admitted, and what to mend in the others.

Readings come in through the bench sheet, the API and imported tables; all
three hand over a `RawSubmission`, as typed, and all get the same sentences.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from results.policy.codes import BadCode, read_label
from results.policy.language import tell
from results.policy.mending import (
    mass_outside,
    more_than_its_flask,
    no_such_station,
    no_such_tube,
    no_such_vial,
    not_read,
    read_twice,
    reading_outside,
)
from results.policy.numbers import NotANumber, normalise, read_number
from results.policy.protocol import ProtocolRules, Span
from results.policy.refusals import NotAdmitted, Problem
from results.policy.typed import (
    BLANK,
    OWN_FIELDS,
    Admitted,
    AdmittedReading,
    RawReading,
    RawSubmission,
    Scale,
    Typed,
    fold,
    is_empty,
)

MOST_REPLICATES = 20
_MILLIGRAMS_PER_GRAM = 1000
_MIN_STANDARDS = 3

_Read = TypeVar("_Read")


@dataclass(frozen=True, slots=True)
class BenchRules:
    """What a submission is held against.

    Attributes
    ----------
    protocol : ProtocolRules
        The protocol in force.
    stations : mapping of str to str
        Codes of the course's stations, by their folded form (see `fold`).
    vials : mapping of str to str
        Codes of the vials that can be named here, by their folded form.
    vials_checked : bool
        Whether the course's labels end in a check sign.
    lenient : bool
        Whether tubes without a reading need no word about being left out, and
        masses may be far from plausible: for tables, where nobody is there to
        look at the balance print again.
    """

    protocol: ProtocolRules
    stations: Mapping[str, str]
    vials: Mapping[str, str]
    vials_checked: bool = False
    lenient: bool = False


def admit(raw: RawSubmission, rules: BenchRules) -> Admitted:
    """Read a submission as typed, or refuse it with everything that needs mending.

    Raises
    ------
    NotAdmitted
        At least one problem was found; all are named.
    """
    desk = _Desk(raw, rules)
    masses = rules.protocol.with_wide_masses() if rules.lenient else rules.protocol
    admitted = Admitted(
        station=desk.station(),
        vial=desk.vial(),
        scale=desk.scale(),
        standard_mass_g=desk.mass("standard_mass_g", masses.standard_mass_g),
        unknown_mass_g=desk.mass("unknown_mass_g", masses.unknown_mass_g),
        readings=desk.readings(),
        own=desk.own(),
    )
    if desk.problems:
        raise NotAdmitted(desk.problems)
    return admitted


class _Desk:
    """Reads one submission and collects its problems."""

    def __init__(self, raw: RawSubmission, rules: BenchRules) -> None:
        self.raw = raw
        self.rules = rules
        self.problems: list[Problem] = []
        scheme = rules.protocol.scheme
        self.standards = {fold(label): label for label in scheme.standard_labels}
        self.unknowns = {fold(label): label for label in scheme.unknown_labels}
        self.tubes = {**self.standards, **self.unknowns, fold(BLANK): BLANK}
        self.flask_mL = dict(
            zip(
                (*scheme.standard_labels, *scheme.unknown_labels),
                (*scheme.standard_make_up_mL, *scheme.unknown_make_up_mL),
                strict=True,
            )
        )

    def _say(self, message: str, *where: str | int) -> None:
        self.problems.append(Problem(where, message))

    def station(self) -> str:
        """Return the station's code."""
        typed = self.raw.station.strip()
        if not typed:
            self._say(
                tell("Choose the station: its number is on the meter."), "station"
            )
        elif fold(typed) not in self.rules.stations:
            self._say(no_such_station(typed), "station")
        return self.rules.stations.get(fold(typed), "")

    def vial(self) -> str:
        """Return the vial's code, empty if none was named."""
        typed = self.raw.vial.strip()
        if not typed:
            return ""
        if self.rules.vials_checked and not self._is_label(typed):
            return ""
        if fold(typed) not in self.rules.vials:
            # One sentence, whether nobody or another group has such a vial.
            self._say(no_such_vial(typed), "vial")
        return self.rules.vials.get(fold(typed), "")

    def _is_label(self, typed: str) -> bool:
        try:
            read_label(typed)
        except BadCode as error:
            self._say(str(error), "vial")
            return False
        return True

    def scale(self) -> Scale:
        """Return the one scale of all readings."""
        scales = {
            reading.scale
            for reading in self.raw.readings
            if not is_empty(reading.value)
        }
        if len(scales) > 1:
            self._say(
                tell(
                    "Some readings are in %T and some in absorbance. "
                    "Give all of them on one scale."
                ),
                "readings",
            )
        return next(iter(scales), Scale.PERCENT_T)

    def mass(self, name: str, span: Span) -> float:
        """Return a mass in grams."""
        typed = getattr(self.raw, name)
        if is_empty(typed):
            self._say(tell("Type the mass in grams, as on the balance print."), name)
            return 0.0
        mass_g = self._number(typed, name)
        if mass_g is None or span.holds(mass_g):
            return mass_g or 0.0
        in_mg = span.holds(mass_g / _MILLIGRAMS_PER_GRAM)
        self._say(mass_outside(mass_g, span, in_mg=in_mg), name)
        return 0.0

    def readings(self) -> tuple[AdmittedReading, ...]:
        """Return the readings that were taken, in their order."""
        admitted: list[AdmittedReading] = []
        first_seen: dict[tuple[str, int], int] = {}
        for index, reading in enumerate(self.raw.readings):
            one = self._reading(index, reading)
            if one is None:
                continue
            if (one.tube, one.replicate) in first_seen:
                sentence = read_twice(one.tube, one.replicate)
                self._say(sentence, "readings", index, "tube")
                continue
            first_seen[one.tube, one.replicate] = index
            admitted.append(one)
        self._check_missing({one.tube for one in admitted})
        return tuple(admitted)

    def _reading(self, index: int, reading: RawReading) -> AdmittedReading | None:
        tube = self.tubes.get(fold(reading.tube))
        if tube is None:
            sentence = no_such_tube(reading.tube, self.tubes.values())
            self._say(sentence, "readings", index, "tube")
            return None
        if is_empty(reading.value):
            return None
        replicate = self._replicate(index, reading)
        taken_mL = self._taken(index, tube, reading.taken_mL)
        value = self._value(index, tube, reading)
        if value is None or replicate is None:
            return None
        return AdmittedReading(index + 1, tube, replicate, value, taken_mL)

    def _replicate(self, index: int, reading: RawReading) -> int | None:
        where = ("readings", index, "replicate")
        typed = 1 if is_empty(reading.replicate) else reading.replicate
        number = self._number(typed, *where)
        if number is None:
            return None
        if number != int(number) or not 1 <= number <= MOST_REPLICATES:
            self._say(
                tell("Number replicates 1, 2, … up to {most}.", most=MOST_REPLICATES),
                *where,
            )
            return None
        return int(number)

    def _taken(self, index: int, tube: str, typed: Typed) -> float | None:
        if is_empty(typed):
            return None
        where = ("readings", index, "taken_mL")
        taken_mL = self._number(typed, *where)
        flask_mL = self.flask_mL.get(tube)
        if taken_mL is None or flask_mL is None:
            return taken_mL
        if not 0 < taken_mL <= flask_mL:
            self._say(more_than_its_flask(tube, taken_mL, flask_mL), *where)
        return taken_mL

    def _value(self, index: int, tube: str, reading: RawReading) -> float | None:
        where = ("readings", index, "value")
        value = self._number(reading.value, *where)
        if value is None:
            return None
        if reading.scale is Scale.PERCENT_T:
            span, unit = self.rules.protocol.percent_T, tell("%T")
        else:
            span, unit = self.rules.protocol.absorbance, tell("absorbance")
        # An absorbance of exactly 0 can be read; a transmittance of 0 cannot.
        if span.holds(value) or (value == 0 and reading.scale is Scale.ABSORBANCE):
            return value
        self._say(reading_outside(tube, value, unit, span), *where)
        return None

    def _check_missing(self, read: set[str]) -> None:
        left_out = {fold(label) for label in self.raw.left_out}
        standards, unknowns = self.standards.values(), self.unknowns.values()
        if not (self.rules.lenient or self._has_reading_problem()):
            for key, label in {**self.standards, **self.unknowns}.items():
                if label not in read and key not in left_out:
                    self._say(not_read(label), *self._place_of(label))
        if len(read.intersection(standards)) < _MIN_STANDARDS and not self.problems:
            self._say(
                tell("A line needs at least {n} standards.", n=_MIN_STANDARDS),
                "readings",
            )
        if not read.intersection(unknowns) and not self.problems:
            self._say(tell("No unknown tube has a reading."), "readings")

    def _has_reading_problem(self) -> bool:
        return any(problem.where[0] == "readings" for problem in self.problems)

    def _place_of(self, label: str) -> tuple[str | int, ...]:
        for index, reading in enumerate(self.raw.readings):
            if fold(reading.tube) == fold(label):
                return ("readings", index, "value")
        return ("readings",)

    def own(self) -> dict[str, str]:
        """Return the worked answers with the digits that were reported."""
        return {
            name: self._own_digits(name, self.raw.own.get(name)) for name in OWN_FIELDS
        }

    def _own_digits(self, name: str, typed: Typed) -> str:
        if is_empty(typed):
            return ""
        return self._attempt(lambda: normalise(str(typed)), name) or ""

    def _number(self, typed: Typed, *where: str | int) -> float | None:
        return self._attempt(lambda: read_number(typed or 0), *where)

    def _attempt(self, read: Callable[[], _Read], *where: str | int) -> _Read | None:
        try:
            return read()
        except NotANumber as error:
            self._say(str(error), *where)
            return None
