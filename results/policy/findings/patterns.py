"""When findings of several groups mean more than each by itself."""

# Fewer may share a slip by chance; common practice.
_FEWEST = 5
# A word is asked for, not an accusation; below this another explanation is far
# likelier, and a name on a list would do harm.
_LIKELY_ENOUGH = 0.2
_ASKS_FOR_A_WORD = frozenset({"other_lot", "same_readings"})
# Honest masses equal the sheet's now and then: to be looked at, and no more.
_ASKS_FOR_A_LOOK = frozenset({"nominal_mass"})


def is_shared(n_groups: int, *, of: int) -> bool:
    """Whether a slip on paper is so common that the handout may be its cause.

    Parameters
    ----------
    n_groups : int
        Groups of a section with the slip.
    of : int
        Groups of the section that gave a worked answer.

    Examples
    --------
    >>> is_shared(5, of=10), is_shared(5, of=11), is_shared(4, of=4)
    (True, False, False)
    """
    return n_groups >= _FEWEST and 2 * n_groups >= of


def is_no_slip(code: str) -> bool:
    """Whether a finding is no slip, but a reason to talk or to look once more."""
    return code in _ASKS_FOR_A_WORD or is_only_a_look(code)


def is_only_a_look(code: str) -> bool:
    """Whether a finding asks to look at what was typed, and says nothing happened.

    Examples
    --------
    >>> is_only_a_look("nominal_mass"), is_only_a_look("mistyped_mass")
    (True, False)
    """
    return code in _ASKS_FOR_A_LOOK


def wants_a_word(code: str, probability: float) -> bool:
    """Whether a finding asks for a conversation before any mark is set."""
    return code in _ASKS_FOR_A_WORD and probability >= _LIKELY_ENOUGH
