"""What to mind at the bench: the protocol's own cautions and the usual ones."""

from results.policy.language import marked, tell

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


def with_usual_cautions(own: tuple[str, ...]) -> tuple[str, ...]:
    """Return a protocol's cautions, and after them what they do not speak of."""
    spoken = " ".join(own).casefold()
    missing = (
        tell(sentence)
        for sentence, words in _USUAL
        if not any(word in spoken for word in words)
    )
    return (*own, *missing)
