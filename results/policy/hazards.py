"""What is usually said of the substances at hand, for the people who weigh them.

Statements are those of the globally harmonised system (GHS); which of them usually
stand on a bottle is from memory, common practice. Suppliers and grades differ, so
each line sends its reader to the sheet for the bottle. For staff, in English.
"""

from collections.abc import Iterable
from dataclasses import dataclass

RULES = (
    "Follow your institution’s safety rules and the current safety data sheet for the "
    "bottle in front of you. This page is a reminder, not a substitute."
)
SEE_THE_SHEET = "See the sheet for your bottle."
SUPPLIERS_DISAGREE = (
    "Suppliers disagree about some of these substances, and grades differ: what the "
    "sheet of your bottle says is what holds."
)
# Common practice in prep rooms.
PREP_CAUTIONS = (
    "Eye protection and a coat throughout; gloves for the reductant and the ligand.",
    "Weigh the solids of the ligand and the reductant in the prep room or in a hood.",
    "Do not heat the reductant dry; keep it from oxidisers and metals.",
    "Acid goes into water, never water into acid.",
    "No pipetting by mouth. Wipe up spills at once. Wash your hands at the end.",
    "If anything happens, tell whoever is in charge and follow the sheet.",
)
WASTE_CONTENTS = "Aqueous waste with metals and organic ligand: iron, phenanthroline"
WASTE_RULES = (
    "Collect every coloured solution, stock and first rinsing in these containers.",
    "No oxidisers, no cyanide and no strong bases in the same container.",
    "Hand full containers over as your institution’s waste rules say.",
)
# The words of the statements as the UN's system has them, from memory.
PHRASES = {
    "H290": "may be corrosive to metals",
    "H301": "toxic if swallowed",
    "H302": "harmful if swallowed",
    "H312": "harmful in contact with skin",
    "H314": "causes severe skin burns and eye damage",
    "H315": "causes skin irritation",
    "H317": "may cause an allergic skin reaction",
    "H318": "causes serious eye damage",
    "H319": "causes serious eye irritation",
    "H335": "may cause respiratory irritation",
    "H351": "suspected of causing cancer",
    "H373": "may damage organs through prolonged or repeated exposure",
    "H400": "very toxic to aquatic life",
    "H410": "very toxic to aquatic life with long-lasting effects",
}


@dataclass(frozen=True, slots=True)
class Substance:
    """What is known of a substance that a reagent is made of.

    Attributes
    ----------
    words : tuple of str
        Parts of names by which it is recognised, in English or German.
    formula : str
        Of the solid that is usually weighed; empty for liquids.
    statements : tuple of str
        GHS statements that usually stand on the bottle, from memory; empty where
        it is usually not classified.
    note : str
        What else to know, from memory, common practice.
    """

    name: str
    words: tuple[str, ...]
    formula: str
    statements: tuple[str, ...]
    note: str

    @property
    def said(self) -> str:
        """The statements with their words."""
        if not self.statements:
            return "usually not classified"
        return "; ".join(f"{code} {PHRASES[code]}" for code in self.statements)


# All from memory, common practice.
_SUBSTANCES = (
    Substance(
        "hydroxylamine hydrochloride",
        ("hydroxylam",),
        "NH2OH·HCl",
        (
            "H290",
            "H302",
            "H312",
            "H315",
            "H317",
            "H319",
            "H351",
            "H373",
            "H400",
            "H410",
        ),
        "Sensitises the skin. A 10 % solution keeps the lines on sensitising and on "
        "cancer. Do not heat it dry.",
    ),
    Substance(
        "1,10-phenanthroline",
        ("phenanthrolin",),
        "C12H8N2·H2O",
        ("H301", "H410"),
        "The formula is that of the monohydrate. Warm to dissolve, keep dark, discard "
        "a solution that has turned pink.",
    ),
    Substance(
        "ammonium iron(II) sulfate",
        (
            "iron(ii)",
            "iron(2+)",
            "eisen(ii)",
            "ferrous",
            "fe(nh4)2(so4)2",
            "(nh4)2fe(so4)2",
        ),
        "Fe(NH4)2(SO4)2·6H2O",
        ("H315", "H319", "H335"),
        "Suppliers disagree: some do not classify it. Retire bottles with a yellow or "
        "brown crust.",
    ),
    Substance(
        "ammonium iron(III) sulfate",
        ("iron(iii)", "iron(3+)", "eisen(iii)", "ferric", "nh4fe(so4)2"),
        "NH4Fe(SO4)2·12H2O",
        ("H315", "H319"),
        "Some suppliers have H318. Not the salt for standards: it needs its reductant.",
    ),
    Substance(
        "sodium acetate",
        ("acetate", "acetat"),
        "CH3COONa·3H2O",
        (),
        "The formula is that of the trihydrate.",
    ),
    Substance(
        "acetic acid",
        ("acetic", "essigsäure"),
        "",
        ("H314",),
        "From 25 % H314; from 10 to below 25 % H315 and H319.",
    ),
    Substance(
        "sulfuric acid",
        ("sulfuric", "sulphuric", "schwefelsäure"),
        "",
        ("H290", "H314"),
        "From 15 % H314; from 5 to below 15 % H315 and H319. Acid into water.",
    ),
    Substance(
        "hydrochloric acid",
        ("hydrochloric", "salzsäure"),
        "",
        ("H290", "H314", "H335"),
        "From 25 % H314 and H335; from 10 to below 25 % H315 and H319.",
    ),
)


def substance_of(name: str) -> Substance | None:
    """Return what is known of the substance that a name speaks of; None if nothing.

    Examples
    --------
    >>> substance_of("sodium acetate, 1 M solution").formula
    'CH3COONa·3H2O'
    """
    said = "".join(name.casefold().split())
    return next(
        (one for one in _SUBSTANCES if any(word in said for word in one.words)), None
    )


def substances_of(names: Iterable[str]) -> tuple[Substance, ...]:
    """Return the known substances that names speak of, each once, in their order."""
    found = (substance_of(name) for name in names)
    return tuple(dict.fromkeys(one for one in found if one is not None))
