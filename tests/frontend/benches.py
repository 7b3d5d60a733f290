"""What these tests share: a phone that types, and a class to look at."""

from django.urls import reverse

from tests.factories import (
    STANDARD_MASS_G,
    UNKNOWN_MASS_G,
    make_group,
    make_lot,
    make_station,
    make_vial,
    perfect_readings,
    raw_submission,
    slip_code,
    submit,
)

TUBES = tuple(perfect_readings())


def sign_in(client, number=1):
    """Sign the group with that slip in."""
    return client.post(reverse("home"), {"slip_code": slip_code(number)})


def typed_sheet(**changes):
    """Everything a phone sends for perfect readings, with points; or with changes."""
    values = perfect_readings()
    form = {
        "key": "9b4d3a1e-0000-4000-8000-000000000001",
        "station": "4",
        "scale": "percent_T",
        "standard_mass_g": str(STANDARD_MASS_G),
        "unknown_mass_g": str(UNKNOWN_MASS_G),
    }
    for index, tube in enumerate(TUBES):
        form[f"tube-{index}"] = tube
        form[f"replicate-{index}"] = "1"
        form[f"value-{index}"] = f"{values[tube]:.1f}"
    return form | changes


def make_class(section, n_groups, *, submitted=True, first=1):
    """Groups from the first number on, each with a vial and perfect readings."""
    station = section.course.stations.filter(code="4").first()
    station = station or make_station(section.course, code="4")
    lot = make_lot(section.course, code=f"L{section.pk}-{first}")
    groups = []
    for number in range(first, first + n_groups):
        group = make_group(
            section, str(number), slip=slip_code(number), students=(f"P. {number}",)
        )
        make_vial(lot, code=f"V{section.pk}-{number}", group=group)
        if submitted:
            submit(group, raw_submission(station=station.code))
        groups.append(group)
    return groups
