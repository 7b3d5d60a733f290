"""Codes that people read aloud and type: slip codes and vial labels.

The alphabet has no two signs that look alike in print or in handwriting, and
its size is a prime. The last sign is a check: with weights that differ from
sign to sign modulo a prime, every single wrong sign and every swap of two
neighbours changes the sum (the principle behind ISO/IEC 7064's systems).
"""

import hashlib
import hmac
from collections.abc import Callable
from dataclasses import dataclass

from results.policy.language import marked, tell

ALPHABET = "346789ACDEFHJKMNPRTVWXY"
SLIP_LENGTH = 9
VIAL_LENGTH = 5
_PART = 3
_MARK_LENGTH = 16
_IGNORED = str.maketrans("", "", " -–—.\t")


class BadCode(ValueError):
    """What was typed cannot be a code; the message says what to look at."""


def check_sign(body: str) -> str:
    """Return the sign that completes a body of signs of the alphabet.

    Examples
    --------
    >>> check_sign("ACD")
    'J'
    """
    total = sum(
        weight * ALPHABET.index(sign) for weight, sign in enumerate(body, start=1)
    )
    # The check sign's own weight is one more than the last sign's; solving for
    # it needs that weight's inverse modulo the size of the alphabet.
    size = len(ALPHABET)
    return ALPHABET[-total * pow(len(body) + 1, -1, size) % size]


def draw_code(draw_below: Callable[[int], int], length: int = SLIP_LENGTH) -> str:
    """Draw a code, in parts of three signs.

    Parameters
    ----------
    draw_below : callable
        `draw_below(n)` is a whole number from 0 to n - 1: `secrets.randbelow`
        for codes that must not be guessed, a seeded generator for examples.
    length : int
        Number of signs, the check sign among them.
    """
    body = "".join(ALPHABET[draw_below(len(ALPHABET))] for _ in range(length - 1))
    return in_parts(body + check_sign(body))


def in_parts(code: str) -> str:
    """Write a code in parts of three signs, as it stands on paper.

    Examples
    --------
    >>> in_parts("ACD3FH")
    'ACD-3FH'
    """
    return "-".join(code[start : start + _PART] for start in range(0, len(code), _PART))


def bare(code: str) -> str:
    """Return a code without its parts, as it is compared.

    Examples
    --------
    >>> bare("acd-3fh")
    'ACD3FH'
    """
    return code.translate(_IGNORED).upper()


@dataclass(frozen=True, slots=True)
class _Kind:
    """A kind of code: its signs, and what is said of a wrong one."""

    length: int
    strange: str
    wrong_length: str
    wrong_sign: str


_SLIP = _Kind(
    SLIP_LENGTH,
    marked("The code has {signs}, which no slip has. Look again at that sign."),
    marked("The code has {length} signs; {typed} were typed."),
    marked("One sign is wrong, or two are swapped. Compare with the slip."),
)
_LABEL = _Kind(
    VIAL_LENGTH,
    marked("Not a vial label: it has {signs}, which no label has."),
    marked("Not a vial label: it has {typed} signs, not {length}."),
    marked("Not a vial label: one character is off, or two are swapped."),
)


def read_code(typed: str) -> str:
    """Return the bare slip code that was meant, or refuse it.

    Raises
    ------
    BadCode
        A sign, the length or the check sign is wrong.
    """
    return _read(typed, _SLIP)


def read_label(typed: str) -> str:
    """Return the bare vial label that was meant, or refuse it, as `read_code` does."""
    return _read(typed, _LABEL)


def _read(typed: str, kind: _Kind) -> str:
    code = bare(typed)
    strange = sorted(set(code) - set(ALPHABET))
    if strange:
        raise BadCode(tell(kind.strange, signs=", ".join(strange)))
    if len(code) != kind.length:
        raise BadCode(tell(kind.wrong_length, length=kind.length, typed=len(code)))
    if check_sign(code[:-1]) != code[-1]:
        raise BadCode(tell(kind.wrong_sign))
    return code


def digest_code(code: str, key: str) -> str:
    """Return what is stored of a slip code: its keyed digest (RFC 2104).

    The key keeps a copied database from giving the codes away.
    """
    return hmac.new(key.encode(), code.encode(), hashlib.sha256).hexdigest()


def slip_mark(digest: str | None) -> str:
    """Return a mark of a slip, from what is stored of its code; empty without one.

    Sessions and tokens carry it, so that a withdrawn slip signs nobody in.
    """
    return (digest or "")[:_MARK_LENGTH]
