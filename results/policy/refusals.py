"""Foreseen refusals, each a type whose sentence says what to mend."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from results.policy.language import day_and_time, tell, tell_counted


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing to mend, and where it stands.

    Attributes
    ----------
    where : tuple
        Path into what was handed in, such as ``("readings", 3, "value")``.
    message : str
        What to mend, in a sentence for the person who typed it.
    """

    where: tuple[str | int, ...]
    message: str

    @property
    def pointer(self) -> str:
        """The path as a JSON pointer (RFC 6901)."""
        return "".join(
            "/" + str(part).replace("~", "~0").replace("/", "~1") for part in self.where
        )


class Refusal(Exception):
    """Something that cannot be done as asked; nothing was changed."""

    code = "refused"

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


class NotAdmitted(Refusal):
    """What was handed in has problems; all of them are named at once."""

    code = "not-admitted"

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__(
            tell_counted(
                "One thing needs mending; nothing you typed is lost.",
                "{n} things need mending; nothing you typed is lost.",
                n=len(self.problems),
            )
        )


class SectionNotOpen(Refusal):
    """The section does not accept submissions yet."""

    code = "section-not-open"

    def __init__(self, section: str, opens_at: datetime) -> None:
        super().__init__(
            tell(
                "Section {section} opens on {moment}. "
                "Keep your readings and send them then.",
                section=section,
                moment=day_and_time(opens_at),
            )
        )


class SectionClosed(Refusal):
    """The section accepts submissions no more."""

    code = "section-closed"

    def __init__(self, section: str, closed_at: datetime) -> None:
        super().__init__(
            tell(
                "Section {section} closed on {moment}. "
                "Keep your readings and ask your teaching assistant.",
                section=section,
                moment=day_and_time(closed_at),
            )
        )


class NoProtocol(Refusal):
    """The course has no protocol to compute by."""

    code = "no-protocol"

    def __init__(self, course: str) -> None:
        super().__init__(
            tell(
                "Course {course} has no protocol yet. "
                "Its coordinator has to adopt one.",
                course=course,
            )
        )


class KeyReused(Refusal):
    """An idempotency key came again with other content."""

    code = "idempotency-key-reused"

    def __init__(self) -> None:
        super().__init__(
            tell(
                "This Idempotency-Key was used for other readings. "
                "Use a new key for a new revision."
            )
        )


class SlipsChanged(Refusal):
    """Slips were made between looking at them and asking for new ones."""

    code = "slips-changed"

    def __init__(self) -> None:
        super().__init__(
            "Slips of this section were made since you opened this page. What was "
            "printed then is valid; look at the list again before making others."
        )


class NothingChosen(Refusal):
    """An action was asked for without anything to act on."""

    code = "nothing-chosen"


class NotFound(Refusal):
    """What was asked for is not there, or not the viewer's to see."""

    code = "not-found"
