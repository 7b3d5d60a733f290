"""What to mind at the bench: the protocol's own cautions and the usual ones."""

_BODY = "Eye protection and a coat throughout; gloves for the reductant and the ligand."
_MOUTH = "No pipetting by mouth."
_WASTE = (
    "Collect coloured solutions and leftover stock in the labelled waste container."
)
_RULES = (
    "Follow your institution’s safety rules and the current safety data sheet for the "
    "bottle in front of you. This page is a reminder, not a substitute."
)
# Common practice. Each stands unless the protocol already speaks of its matter,
# which any of the words tells.
_USUAL = (
    (_BODY, ("eye", "goggles")),
    (_MOUTH, ("mouth",)),
    (_WASTE, ("waste",)),
    (_RULES, ("safety data sheet",)),
)


def with_usual_cautions(own: tuple[str, ...]) -> tuple[str, ...]:
    """Return a protocol's cautions, and after them what they do not speak of."""
    spoken = " ".join(own).casefold()
    missing = (
        sentence
        for sentence, words in _USUAL
        if not any(word in spoken for word in words)
    )
    return (*own, *missing)
