"""Everything that readings can show to have gone wrong, as data."""

from collections.abc import Mapping

from results.science.diagnosis.deeds import BENCH_DEEDS, Deed

METER_DEEDS = (
    Deed("wavelength_off", "meter_low", "S", 3,
         "Set the wavelength again, then zero again; the answer may still be fair."),
    Deed("reductant_left_out_everywhere", "meter_low", "S", 1,
         "It cancels only if all flasks lack it alike; say so in the report."),
    Deed("wide_band", "meter_low", "C", 1,
         "Compare the station with its neighbours."),
    Deed("wrong_station_noted", "meter_low", "T", 0.5,
         "Read the sticker on the meter."),
    Deed("wavelength_of_last_user", "meter_far", "S", 1,
         "Set the wavelength of the sheet, then zero and full scale again."),
    Deed("longer_path", "meter_high", "S", 1, "Use one kind of cell throughout."),
    Deed("water_as_blank", "zero_high", "S", 3,
         "The blank gets every reagent and no iron."),
    Deed("full_scale_low", "zero_high", "S", 2,
         "Put the blank back: does it read 100?"),
    Deed("full_scale_high", "zero_low", "S", 2,
         "Put the blank back: does it read 100?"),
    Deed("standard_as_blank", "zero_low", "S", 1,
         "Set full scale on the reagent blank, not on a standard."),
    Deed("stray_light", "stray", "C", 2,
         "Clean the optics and look at the lid's seal."),
    Deed("dark_not_zeroed", "stray", "S", 2,
         "Empty and closed, the meter must show 0."),
    Deed("lid_open", "stray", "S", 1, "Shut the lid and shade the holder."),
    Deed("wavelength_on_a_slope", "stray", "S", 1, "Set the wavelength again."),
    Deed("ligand_short", "plateau", "S", 1,
         "Strong standards that look alike have run out of ligand."),
    Deed("old_ligand", "plateau", "C", 0.5, "Date every bottle of reagent."),
)  # fmt: skip
TYPING_DEEDS = (
    Deed("digits_swapped", "digits_swapped", "S", 1, "Look at the meter page again."),
    Deed("ten_misread", "tens_misread", "S", 1,
         "Which side of the ten was the needle?"),
    Deed("decimal_point_moved", "decimal_shifted", "S", 1,
         "Type the value once more."),
    Deed("one_on_other_scale", "scale_one", "S", 1,
         "Is that percent transmittance or absorbance?"),
    Deed("all_on_other_scale", "scale_all", "S", 1,
         "Is that percent transmittance or absorbance?"),
    Deed("salt_mass_digits", "salt_mass_digits", "S", 1,
         "Compare the mass with the balance print."),
    Deed("unknown_mass_digits", "unknown_mass_digits", "S", 1,
         "Compare the mass with the balance print."),
    Deed("salt_mass_decimal", "salt_mass_decimal", "S", 2,
         "Compare the mass with the balance print, unit included."),
    Deed("salt_with_boat", "salt_mass_decimal", "S", 1,
         "Is that the powder alone, or powder and boat?"),
    Deed("unknown_mass_decimal", "unknown_mass_decimal", "S", 1,
         "Compare the mass with the balance print, unit included."),
    Deed("salt_mass_of_plan", "salt_mass_nominal", "S", 1,
         "Is that what the balance showed, or what the sheet asks for?"),
    Deed("unknown_mass_of_plan", "unknown_mass_nominal", "S", 1,
         "Is that what the balance showed, or what the sheet asks for?"),
)  # fmt: skip
OTHER_DEEDS = (
    Deed("none_of_these", "unexplained", "T", 1, "Look at the notebook together."),
)
CATALOGUE: tuple[Deed, ...] = (*BENCH_DEEDS, *METER_DEEDS, *TYPING_DEEDS, *OTHER_DEEDS)

#: The code that each shape is reported under.
CODES: Mapping[str, str] = {
    "tube_fill": "tube_off",
    "tube_step": "tube_off",
    "tube_wrong": "tube_off",
    "tube_far": "tube_off",
    "tube_pale": "tube_off",
    "tube_dark": "tube_off",
    "volume_typed": "tube_off",
    "tube_uncoloured": "tube_uncoloured",
    "unknown_uncoloured": "tube_uncoloured",
    "digits_swapped": "mistyped_reading",
    "tens_misread": "mistyped_reading",
    "decimal_shifted": "mistyped_reading",
    "swap": "tubes_swapped",
    "swap_unknown": "tubes_swapped",
    "shifted": "tubes_swapped",
    "standards_loss": "standards_side",
    "standards_gain": "standards_side",
    "standards_far": "standards_side",
    "standards_factor": "standards_side",
    "salt_mass_digits": "mistyped_mass",
    "unknown_mass_digits": "mistyped_mass",
    "salt_mass_decimal": "mistyped_mass",
    "unknown_mass_decimal": "mistyped_mass",
    "salt_mass_nominal": "nominal_mass",
    "unknown_mass_nominal": "nominal_mass",
    "scale_one": "scale_mixed_up",
    "scale_all": "scale_mixed_up",
    "meter_low": "meter_scale",
    "meter_high": "meter_scale",
    "meter_far": "meter_scale",
    "zero_high": "zero_offset",
    "zero_low": "zero_offset",
    "stray": "curved",
    "plateau": "curved",
    "unknown_loss": "unknown_side",
    "unknown_gain": "unknown_side",
    "unknown_far": "unknown_side",
    "unknown_factor": "unknown_side",
    "unknown_tube": "unknown_tube_off",
    "unknown_tube_far": "unknown_tube_off",
    "unknown_pale": "unknown_tube_off",
    "unknown_dark": "unknown_tube_off",
    "unexplained": "unexplained",
}

_BY_SHAPE: Mapping[str, tuple[Deed, ...]] = {
    shape: tuple(deed for deed in CATALOGUE if deed.shape == shape) for shape in CODES
}
_BY_NAME: Mapping[str, Deed] = {deed.name: deed for deed in CATALOGUE}


def deed(name: str) -> Deed:
    """Return the deed of a name.

    Raises
    ------
    KeyError
        If the catalogue has no such deed.

    Examples
    --------
    >>> deed("salt_lost").shape
    'standards_loss'
    """
    return _BY_NAME[name]


def members_of(share: Mapping[str, float], above: float) -> tuple[str, ...]:
    """Name the deeds behind some shapes, most usual first.

    Parameters
    ----------
    share : mapping
        Probability of each shape, given that it is one of them.
    above : float
        Shapes less likely than this are left out.

    Examples
    --------
    >>> members_of({"swap": 1.0}, 0.1)
    ('neighbours_swapped', 'labels_swapped')
    """
    weights: dict[str, float] = {}
    for shape, probability in share.items():
        if probability < above:
            continue
        total = sum(one.usual for one in _BY_SHAPE[shape])
        for one in _BY_SHAPE[shape]:
            weights[one.name] = probability * one.usual / total
    return tuple(sorted(weights, key=lambda name: -weights[name]))
