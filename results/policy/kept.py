"""What a document may hold so that every database can keep it."""

import math
from collections.abc import Iterator, Mapping
from typing import Any

from results.policy.refusals import Problem

# Documents of ours have four levels.
_DEEPEST = 12
_Where = tuple[str | int, ...]


def unkept(document: Mapping[str, Any]) -> Iterator[Problem]:
    """Yield each place of a JSON document that a database could not keep.

    JSON as programs write it can hold numbers that are not finite, zeros and halves
    of characters; a database's JSON and text can not.
    """
    waiting: list[tuple[_Where, Any]] = [((), document)]
    while waiting:
        where, node = waiting.pop()
        if len(where) > _DEEPEST:
            yield Problem(where[:1], "This is nested too deeply.")
        elif isinstance(node, Mapping):
            waiting += [((*where, key), inner) for key, inner in node.items()]
            waiting += [(where, str(key)) for key in node]
        elif isinstance(node, list | tuple):
            waiting += [((*where, place), one) for place, one in enumerate(node)]
        elif isinstance(node, str):
            if not _is_text(node):
                yield Problem(where, "Leave out the signs that are no letters.")
        elif isinstance(node, float) and not math.isfinite(node):
            yield Problem(where, "Write a finite number.")


def _is_text(text: str) -> bool:
    return "\x00" not in text and not any("\ud800" <= sign <= "\udfff" for sign in text)
