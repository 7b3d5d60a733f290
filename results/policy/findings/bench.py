"""Wordings of what went wrong on the bench, at the meter or at the keys."""

from collections.abc import Mapping

from results.policy.findings.wording import Wording
from results.policy.language import marked

BENCH: Mapping[str, Wording] = {
    "out_of_range": Wording(
        title=marked("Unknown outside the standards"),
        student=marked(
            "Your unknown lies outside your standards, where the line is not "
            "known. Ask whether to change the last volume you take."
        ),
        assistant="The unknown lies outside the standards. If time allows, change "
        "the last aliquot so that it lands in the middle of the line.",
        coordinator="Many unknowns outside the standards: change the last volume of "
        "the protocol, or the range of the standards.",
    ),
    "tube_off": Wording(
        title=marked("One standard off the line"),
        student=marked(
            "{Where} does not sit with the others. Read it once more; if it "
            "reads the same, check its volume and its colour."
        ),
        assistant="{Where} is off the line of the others. Ask how its volume was "
        "delivered, whether its flask was filled to the mark and whether every "
        "reagent went in.",
        coordinator="The same tube off in many groups: look at the burettes or the "
        "flasks of that size.",
    ),
    "tubes_swapped": Wording(
        title=marked("Tubes out of order"),
        student=marked(
            "Some dots seem to trade places: look at {where}. Hold the flasks "
            "against white paper, palest first, and compare the labels."
        ),
        assistant="The readings fit if they trade places: look at {where}. Ask to "
        "see the flasks in a row, palest first.",
        coordinator="Many groups with tubes out of order: make the sheet name the "
        "tubes in the order in which they are read.",
    ),
    "tube_uncoloured": Wording(
        title=marked("A tube without colour"),
        student=marked(
            "{Where} shows almost no colour. Look at it: a flask that missed the "
            "colour reagent has to be made again."
        ),
        assistant="{Where} shows almost no colour. Ask whether the ligand went in; "
        "the flask has to be made again.",
        coordinator="Many tubes without colour: check that the ligand's bottle is on "
        "every bench.",
    ),
    "mistyped_reading": Wording(
        title=marked("A value to compare"),
        student=marked(
            "Compare the value typed for {where} with your notebook, digit by digit."
        ),
        assistant="The value typed for {where} fits if digits trade places or a ten "
        "was misread. Ask to see the meter page.",
        coordinator="Many values that do not agree with the notebook: ask the groups "
        "to type in pairs, one reading aloud.",
    ),
    "mistyped_mass": Wording(
        title=marked("A mass to compare"),
        student=marked(
            "Compare the masses you typed with the balance print, decimal point "
            "included."
        ),
        assistant="A mass seems to be typed wrongly: a decimal point, or two digits. "
        "Ask to see the balance print.",
        coordinator="Many masses typed wrongly: show the unit and a plausible range "
        "beside the box.",
    ),
    "nominal_mass": Wording(
        title=marked("Please check the mass"),
        student=marked(
            "A mass you typed is exactly the one on the sheet. Please check that "
            "it is what the balance showed."
        ),
        assistant="A mass is exactly that of the sheet. It may be honest: ask to see "
        "the balance print.",
        coordinator="Many masses equal to the sheet's: ask whether the balance's own "
        "figure is to be typed.",
    ),
    "scale_mixed_up": Wording(
        title=marked("Percent or absorbance"),
        student=marked(
            "Some values look like the other scale of the meter: see {where}. "
            "Is that percent transmittance or absorbance?"
        ),
        assistant="Values seem to be typed on the wrong scale: see {where}. Ask "
        "which scale of the meter was read.",
        coordinator="Many values on the wrong scale: name the scale on the station's "
        "card.",
    ),
    "standards_side": Wording(
        title=marked("Standards too strong or weak"),
        student=marked(
            "Your line is steeper or flatter than your readings can explain. Go "
            "through the standards once more: the mass typed, the pipette, the flask."
        ),
        assistant="The standards are all off by one factor. Ask for the salt's mass, "
        "the pipette for the working solution, and how the stock was mixed.",
        coordinator="Many groups with standards off by the same factor: check the "
        "salt's bottle, a shared stock, or the balance.",
    ),
    "meter_scale": Wording(
        title=marked("Meter reads low or high"),
        student=marked(
            "All your tubes read low or high by one factor. Check the wavelength "
            "and the cell, and set zero and full scale again."
        ),
        assistant="All tubes are off by one factor. Check the wavelength at the "
        "meter. The answer may still be fair: standards and unknown share it.",
        coordinator="Several groups at one station: have its wavelength checked. It "
        "is no matter for marks.",
    ),
    "zero_offset": Wording(
        title=marked("Line misses the origin"),
        student=marked(
            "All your tubes are off by the same absorbance. Put the blank back: "
            "does the meter still read 100 %T?"
        ),
        assistant="All tubes are off by the same absorbance: water as the blank, or "
        "full scale not set. The answer does not suffer if the line keeps its "
        "intercept.",
        coordinator="Many lines that miss the origin: say on the sheet what goes "
        "into the blank.",
    ),
    "curved": Wording(
        title=marked("Line bends"),
        student=marked(
            "Your dark tubes read too light. With the meter empty and closed, "
            "does it read 0 %T? Is the lid shut?"
        ),
        assistant="The line bends down at the dark end. Check the meter's dark zero "
        "and lid; if strong standards look alike, the ligand ran short.",
        coordinator="Several groups at one station: clean its optics and look at its "
        "lid. All over a section: check the ligand.",
    ),
    "unknown_side": Wording(
        title=marked("Look at the unknown"),
        student=marked(
            "Go through the unknown once more while you have it: the mass typed, "
            "each pipette, each flask, and whether everything dissolved."
        ),
        assistant="The unknown does not agree with what its standards lead one to "
        "expect. Ask which pipettes and flasks were used for it, whether it "
        "dissolved, and whether the blank was read before it.",
        coordinator="Many groups of one lot: have the lot assayed again. Of one "
        "section: look at the sheet's dilution of the unknown.",
        # It rests on what others found in the lot: told at the bench, it could be
        # asked again and again until an answer agrees.
        staff_only=True,
    ),
    "unknown_tube_off": Wording(
        title=marked("Unknown tubes disagree"),
        student=marked(
            "Your unknown tubes disagree more than the meter does. Read {where} "
            "once more, wiped and the same way round."
        ),
        assistant="The unknown tubes disagree; look at {where}. Ask how it was "
        "pipetted.",
        coordinator="Many unknown tubes that disagree: look at the pipettes of that "
        "size.",
    ),
    "unexplained": Wording(
        title=marked("Something does not fit"),
        student=marked(
            "Something in these readings does not fit together, and we cannot "
            "say what. Read your tubes once more, and ask your teaching assistant."
        ),
        assistant="The readings do not fit together, and no known slip explains "
        "them. Look at the notebook together.",
        coordinator="Several groups like this at one place are worth a visit.",
    ),
    "other_lot": Wording(
        title=marked("Agrees with another lot"),
        student=marked("Ask your teaching assistant to look at your vial with you."),
        assistant="The answer agrees with another lot that was issued. Ask to see "
        "both vials before any mark is set.",
        coordinator="Answers that agree with another issued lot: ask to see both "
        "vials, and check the list of issues first.",
        staff_only=True,
    ),
    "same_readings": Wording(
        title=marked("Same readings in several groups"),
        student=marked(
            "Ask your teaching assistant to look at your readings with you."
        ),
        assistant="{groups:.0f} groups have the same readings. Shared meters and "
        "stocks are often allowed; ask how the readings were taken.",
        coordinator="{groups:.0f} groups have the same readings: a conversation, not "
        "an accusation. Sharing may have been allowed.",
        staff_only=True,
    ),
}
