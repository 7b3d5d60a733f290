"""Wordings of what went wrong in a group's own arithmetic."""

from collections.abc import Mapping

from results.policy.findings.wording import Wording
from results.policy.language import marked

_HANDOUT = (
    "If most of a section share this, mend the handout or the briefing, and do not "
    "charge the groups for it."
)

WORKED: Mapping[str, Wording] = {
    "worked_dilution_skipped": Wording(
        title=marked("A dilution left out"),
        student=marked(
            "Walk back flask by flask from the cell to the powder: does every "
            "dilution stand in your working once?"
        ),
        assistant="The working fits if one dilution was left out. Ask for the flasks "
        "in order, from the cell back to the powder.",
        coordinator=f"A dilution left out in the working. {_HANDOUT}",
    ),
    "worked_dilution_twice": Wording(
        title=marked("A dilution taken twice"),
        student=marked(
            "Walk back flask by flask from the cell to the powder: does any "
            "dilution stand in your working twice?"
        ),
        assistant="The working fits if one dilution was taken twice. Ask for the "
        "flasks in order.",
        coordinator=f"A dilution taken twice in the working. {_HANDOUT}",
    ),
    "worked_dilution_inverted": Wording(
        title=marked("A dilution upside down"),
        student=marked(
            "Going back to the powder, each dilution must make the number "
            "larger. Look for a factor that is upside down."
        ),
        assistant="The working fits if one dilution is upside down. Ask which way a "
        "number changes on dilution.",
        coordinator=f"A dilution upside down in the working. {_HANDOUT}",
    ),
    "worked_salt_as_iron": Wording(
        title=marked("Salt taken for iron"),
        student=marked(
            "Only part of the salt you weighed is iron. Look at the step from "
            "the salt's mass to the stock's concentration."
        ),
        assistant="The working fits if the mass of salt was used as mass of iron. "
        "Ask what part of the salt is iron.",
        coordinator=f"Mass of salt used as mass of iron. {_HANDOUT}",
    ),
    "worked_hydrate_ignored": Wording(
        title=marked("Molar mass of the salt"),
        student=marked(
            "Look at the salt's formula on the bottle, its water included, and "
            "compare the molar mass you used."
        ),
        assistant="The working fits if the water of the hydrate was left out, or "
        "another salt's molar mass was used.",
        coordinator=f"A wrong molar mass of the salt. {_HANDOUT}",
    ),
    "worked_natural_log": Wording(
        title=marked("Which logarithm"),
        student=marked(
            "Absorbance is a logarithm to base ten. Look at the key or the "
            "function you used."
        ),
        assistant="The working fits with a natural logarithm. Used everywhere it "
        "does no harm to the answer; say so.",
        coordinator=f"Natural logarithms in the working. {_HANDOUT}",
    ),
    "worked_percent_plotted": Wording(
        title=marked("Transmittance for absorbance"),
        student=marked(
            "The line wants absorbance, 2 − log %T. Look at what you plotted and "
            "what you read off."
        ),
        assistant="The working fits if transmittance, or its bare logarithm, stands "
        "where absorbance belongs.",
        coordinator=f"Transmittance for absorbance in the working. {_HANDOUT}",
    ),
    "worked_forced_origin": Wording(
        title=marked("Line through zero"),
        student=marked(
            "Let the line choose its own intercept, unless your sheet says otherwise."
        ),
        assistant="The line was drawn through zero. Ask what the sheet says.",
        coordinator=f"Lines forced through zero. {_HANDOUT}",
    ),
    "worked_intercept_dropped": Wording(
        title=marked("Intercept and its sign"),
        student=marked(
            "Take the intercept off the absorbance, with its sign, before you "
            "divide by the slope."
        ),
        assistant="The working fits if the intercept was left out or its sign is "
        "wrong.",
        coordinator=f"The intercept left out of the working. {_HANDOUT}",
    ),
    "worked_axes_swapped": Wording(
        title=marked("Which axis is which"),
        student=marked(
            "Absorbance goes up, concentration across. Look at how the line was "
            "solved for the unknown."
        ),
        assistant="The working fits if the axes were exchanged, or the line was "
        "solved the wrong way round.",
        coordinator=f"Axes exchanged in the working. {_HANDOUT}",
    ),
    "worked_nominal_mass": Wording(
        title=marked("Which mass was used"),
        student=marked(
            "Use the masses you recorded at the balance. Look at the mass in "
            "your working."
        ),
        assistant="The working fits with the sheet's mass, or with the other powder's.",
        coordinator=f"The sheet's mass used in the working. {_HANDOUT}",
    ),
    "worked_unit_slip": Wording(
        title=marked("Units"),
        student=marked(
            "Write the unit beside every number, and look for a thousand, a ten "
            "or a molar mass too many or too few."
        ),
        assistant="The working is off by a power of ten or a molar mass. Ask for the "
        "unit of each line.",
        coordinator=f"A slip of units in the working. {_HANDOUT}",
    ),
    "worked_percent_fraction": Wording(
        title=marked("Percent or fraction"),
        student=marked(
            "Say your answer in words: how many grams of iron in a hundred grams "
            "of powder?"
        ),
        assistant="The answer is a hundred times too large or too small. Ask for it "
        "in words.",
        coordinator=f"Fractions for percentages. {_HANDOUT}",
    ),
    "worked_rounded_early": Wording(
        title=marked("Rounded too early"),
        student=marked("Keep two more digits than you need until the last step."),
        assistant="The working fits if numbers were rounded on the way.",
        coordinator=f"Numbers rounded too early. {_HANDOUT}",
    ),
    "worked_wrong_volume": Wording(
        title=marked("Which flask or pipette"),
        student=marked(
            "Compare each volume in your working with what is etched on the glass "
            "you used."
        ),
        assistant="The working fits with another flask's or pipette's volume. Ask "
        "which glass was used.",
        coordinator=f"A wrong volume in the working. {_HANDOUT}",
    ),
    "worked_unexplained": Wording(
        title=marked("This step does not follow"),
        student=marked(
            "This number does not follow from your readings, or from the number "
            "before it. Work that one step again."
        ),
        assistant="This step does not follow from the one before, and no known slip "
        "explains it. Ask to see the working.",
        coordinator="Several groups of a section with steps that do not follow: look "
        "at the handout's example.",
    ),
}
