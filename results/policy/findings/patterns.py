"""When findings of several groups mean more than each by itself."""

# Fewer may share a slip by chance; common practice.
_FEWEST = 5
# A word is asked for, not an accusation; below this another explanation is far
# likelier, and a name on a list would do harm.
_LIKELY_ENOUGH = 0.2
_ASKS_FOR_A_WORD = frozenset({"other_lot", "same_readings"})


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
    """Whether a finding is no slip, but a reason to talk with those concerned."""
    return code in _ASKS_FOR_A_WORD


def wants_a_word(code: str, probability: float) -> bool:
    """Whether a finding asks for a conversation before any mark is set."""
    return is_no_slip(code) and probability >= _LIKELY_ENOUGH
