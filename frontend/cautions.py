"""What to mind at the bench: the protocol's own cautions and the usual ones."""

from results.policy.language import marked, tell
from results.policy.protocol import Reagent

_BODY = marked(
    "Eye protection and a coat throughout; gloves for the reductant and the ligand."
)
_MOUTH = marked("No pipetting by mouth.")
_WASTE = marked(
    "Collect coloured solutions and leftover stock in the labelled waste container."
)
_RULES = marked(
    "Follow your institution’s safety rules and the current safety data sheet for the "
    "bottle in front of you. This page is a reminder, not a substitute."
)
# Common practice. Each stands unless the protocol already speaks of its matter,
# which any of the words tells, in whichever language the course has written.
_USUAL = (
    (_BODY, ("eye", "goggles", "augen", "schutzbrille")),
    (_MOUTH, ("mouth", "mund")),
    (_WASTE, ("waste", "abfall", "abfäll", "entsorg")),
    (_RULES, ("safety data sheet", "sicherheitsdatenbl")),
)
# At the step itself, and short: common practice, with the rest on the sheet's head.
_WEIGHING = marked("Wipe up spilled powder at once.")
_PIPETTING = marked("Use a filler, never the mouth.")
_BY_ROLE = {
    "reductant": marked(
        "Gloves: harmful, and can sensitise the skin. See the sheet of its bottle."
    ),
    "ligand": marked("Gloves: toxic if swallowed. See the sheet of its bottle."),
}


def with_usual_cautions(own: tuple[str, ...]) -> tuple[str, ...]:
    """Return a protocol's cautions, and after them what they do not speak of."""
    spoken = " ".join(own).casefold()
    missing = (
        tell(sentence)
        for sentence, words in _USUAL
        if not any(word in spoken for word in words)
    )
    return (*own, *missing)


def weighing_caution() -> str:
    """Return what to mind at the balance."""
    return tell(_WEIGHING)


def taking_caution(delivery: str) -> str:
    """Return what to mind with a piece of glass; empty where nothing is usual."""
    return tell(_PIPETTING) if delivery in {"pipette", "graduated pipette"} else ""


def reagent_caution(reagent: Reagent) -> str:
    """Return what to mind with a reagent: the protocol's word, or the usual one."""
    return reagent.caution or tell(_BY_ROLE.get(reagent.role, ""))
