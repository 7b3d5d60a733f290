"""What to mend on a sheet, in sentences for the person who typed it."""

from collections.abc import Iterable

from results.policy.language import tell
from results.policy.protocol import Span
from results.policy.typed import BLANK


def no_such_station(typed: str) -> str:
    """Say that a course has no such station."""
    return tell(
        "“{typed}” is not a station of this course. "
        "Compare with the sticker on the meter.",
        typed=typed,
    )


def no_such_vial(typed: str) -> str:
    """Say that there is no such vial, or none that this group can name."""
    return tell(
        "“{typed}” is not a vial on record here. Compare with its label, or ask your "
        "teaching assistant.",
        typed=typed,
    )


def no_such_tube(typed: str, tubes: Iterable[str]) -> str:
    """Say that a protocol has no such tube."""
    return tell(
        "“{typed}” is not a tube of this protocol, which has {tubes}.",
        typed=typed,
        tubes=", ".join(tubes),
    )


def mass_outside(typed_g: float, span: Span, *, in_mg: bool) -> str:
    """Say that a mass is not plausible, or only as milligrams."""
    if in_mg:
        return tell(
            "{typed:g} looks like milligrams. In grams it is {mass_g:g}.",
            typed=typed_g,
            mass_g=typed_g / 1000,
        )
    return tell(
        "{mass_g:g} g is outside {span} g. Compare with the balance print; "
        "the box takes grams.",
        mass_g=typed_g,
        span=span,
    )


def read_twice(tube: str, replicate: int) -> str:
    """Say that two readings of a tube have one number."""
    return tell(
        "Tube {tube} is here twice as replicate {replicate}. "
        "Keep one, or number the other as the next replicate.",
        tube=_label(tube),
        replicate=replicate,
    )


def more_than_its_flask(tube: str, taken_mL: float, flask_mL: float) -> str:
    """Say that a volume taken does not go into the tube's flask."""
    return tell(
        "Tube {tube}: {taken_mL:g} mL cannot have gone into a "
        "{flask_mL:g} mL flask. Type the volume taken, in mL.",
        tube=tube,
        taken_mL=taken_mL,
        flask_mL=flask_mL,
    )


def reading_outside(tube: str, value: float, unit: str, span: Span) -> str:
    """Say that a reading is not plausible."""
    return tell(
        "Tube {tube}: {value:g} {unit} is outside {span}. "
        "Look at the meter again; if it still shows this, "
        "set zero and 100 %T afresh and read once more.",
        tube=_label(tube),
        value=value,
        unit=unit,
        span=span,
    )


def not_read(tube: str) -> str:
    """Say that a tube has no reading and no word about it."""
    return tell(
        "Tube {tube} has no reading. Type it, or mark the tube as not measured.",
        tube=tube,
    )


def _label(tube: str) -> str:
    """Return a tube's label; a blank's is a word."""
    return tell("blank") if tube == BLANK else tube
