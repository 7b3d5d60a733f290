"""What the bench sheet's scripts make of a group's numbers."""

import uuid
from urllib.parse import urlencode

FORM = "application/x-www-form-urlencoded"


def edits_of(sheet):
    """Yield the boxes in the order in which they are typed: name and value."""
    yield "station", sheet.station
    yield "standard_mass_g", _typed(sheet.standard_mass_g)
    yield "unknown_mass_g", _typed(sheet.unknown_mass_g)
    for tube, replicate, _, value in sheet.readings:
        yield f"value/{tube}/{replicate}", _typed(value)
    yield from sheet.own.items()


def form_of(sheet, key):
    """The page's form with its key, as the outbox sends it."""
    fields = [
        ("for_group", sheet.label),
        ("standard_mass_g", _typed(sheet.standard_mass_g)),
        ("unknown_mass_g", _typed(sheet.unknown_mass_g)),
        ("vial", ""),
        ("station", sheet.station),
        ("scale", sheet.scale),
    ]
    seen = set()
    for row, (tube, replicate, taken_mL, value) in enumerate(sheet.readings):
        fields += [(f"tube-{row}", tube), (f"replicate-{row}", str(replicate))]
        fields.append((f"value-{row}", _typed(value)))
        if tube not in seen:
            fields.append((f"taken-{row}", _typed(taken_mL)))
        seen.add(tube)
    # The boxes for reading a tube once more are sent as well, empty.
    for row, tube in enumerate(sorted(seen), len(sheet.readings)):
        fields += [(f"tube-{row}", tube), (f"replicate-{row}", "9")]
        fields.append((f"value-{row}", ""))
    return urlencode([*fields, *sheet.own.items(), ("key", key)])


def document_of(sheet):
    """The same sheet as a program sends it."""
    return {
        "station": sheet.station,
        "standard_mass_g": sheet.standard_mass_g,
        "unknown_mass_g": sheet.unknown_mass_g,
        "readings": [
            {
                "tube": tube,
                "replicate": replicate,
                "taken_mL": taken_mL,
                sheet.scale: value,
            }
            for tube, replicate, taken_mL, value in sheet.readings
        ],
        **{name: digits for name, digits in sheet.own.items() if digits},
    }


def new_key():
    return str(uuid.uuid4())


def _typed(number):
    return f"{number:.12g}".replace(".", ",")
