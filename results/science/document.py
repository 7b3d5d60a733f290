"""Reads a nested document and collects everything that is wrong with it."""

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import NamedTuple


class Problem(NamedTuple):
    """One thing to mend in a document.

    ``path`` is a JSON pointer (RFC 6901) to the place, ``message`` a sentence
    that says what to mend.
    """

    path: str
    message: str


class SchemeError(ValueError):
    """A scheme that cannot be used; ``problems`` lists all there is to mend."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__(
            "; ".join(f"{path or '/'}: {message}" for path, message in problems)
        )


@dataclass(frozen=True, slots=True)
class Limits:
    """The range a number may lie in; ``above`` itself is excluded."""

    above: float = -math.inf
    at_least: float = -math.inf
    at_most: float = math.inf

    def complaint(self, value: float) -> str | None:
        """Say what is wrong with the value, or nothing."""
        if not math.isfinite(value):
            return "must be a finite number"
        if value <= self.above:
            return f"must be more than {self.above:g}, not {value:g}"
        if value < self.at_least:
            return f"must be at least {self.at_least:g}, not {value:g}"
        if value > self.at_most:
            return f"must be at most {self.at_most:g}, not {value:g}"
        return None


POSITIVE = Limits(above=0.0)
NOT_NEGATIVE = Limits(at_least=0.0)


def _as_float(value: float) -> float:
    """Return a number; not finite where a whole one has hundreds of digits."""
    try:
        return float(value)
    except OverflowError:
        return math.inf


class DocumentReader:
    """One node of a document, and the list of problems found so far.

    Every reading method returns something usable even when it had to report a
    problem (NaN, an empty text, no items), so that reading goes on to the end.
    """

    def __init__(self, node: object, path: str, problems: list[Problem]) -> None:
        self.node = node
        self.path = path
        self.problems = problems

    def report(self, message: str, key: str | None = None) -> None:
        """Note a problem at this node, or at one of its keys."""
        self.problems.append(Problem(self._path_of(key), message))

    def report_at(self, path: str, message: str) -> None:
        """Note a problem anywhere in the document."""
        self.problems.append(Problem(path, message))

    def has(self, key: str) -> bool:
        """Say whether this node is an object that has the key."""
        return isinstance(self.node, Mapping) and key in self.node

    def names(self) -> tuple[str, ...]:
        """Names of the keys of this node, none where it is no object."""
        return tuple(map(str, self.node)) if isinstance(self.node, Mapping) else ()

    def child(self, key: str) -> "DocumentReader":
        """Go to the object under a key; an empty one where there is none."""
        node = self._get(key)
        if node is not None and not isinstance(node, Mapping):
            self.report(f"{key} must be an object", key)
            node = None
        return DocumentReader(node, self._path_of(key), self.problems)

    def items(self, key: str, *, required: bool = True) -> list["DocumentReader"]:
        """Go to each object of the list under a key."""
        if not required and not self.has(key):
            return []
        nodes = self._get(key)
        if nodes is None:
            return []
        if not isinstance(nodes, list | tuple):
            self.report(f"{key} must be a list", key)
            return []
        readers = [
            DocumentReader(node, f"{self._path_of(key)}/{index}", self.problems)
            for index, node in enumerate(nodes)
        ]
        for reader in readers:
            if not isinstance(reader.node, Mapping):
                reader.report("must be an object")
        return [reader for reader in readers if isinstance(reader.node, Mapping)]

    def number(
        self, key: str, limits: Limits = POSITIVE, default: float | None = None
    ) -> float:
        """Read a number within limits; NaN where it had to be reported."""
        if default is not None and not self.has(key):
            return default
        value = self._get(key)
        if value is None:
            return math.nan
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.report(f"{key} must be a number, not {value!r}", key)
            return math.nan
        number = _as_float(value)
        complaint = limits.complaint(number)
        if complaint is not None:
            self.report(f"{key} {complaint}", key)
            return math.nan
        return number

    def flag(self, key: str) -> bool:
        """Read true or false; false where the key is missing."""
        value = self.node.get(key, False) if isinstance(self.node, Mapping) else False
        if not isinstance(value, bool):
            self.report(f"{key} must be true or false, not {value!r}", key)
            return False
        return value

    def text(
        self,
        key: str,
        default: str | None = None,
        choices: Collection[str] = (),
    ) -> str:
        """Read a text, one of the choices if there are any."""
        if default is not None and not self.has(key):
            return default
        value = self._get(key)
        if value is None:
            return ""
        if not isinstance(value, str) or not value.strip():
            self.report(f"{key} must be a text, not {value!r}", key)
            return ""
        if choices and value not in choices:
            self.report(f"{key} must be one of {', '.join(sorted(choices))}", key)
        return value.strip()

    def _get(self, key: str) -> object:
        """Take the value of a required key; report and return None without it."""
        if isinstance(self.node, Mapping) and self.node.get(key) is not None:
            value: object = self.node[key]
            return value
        # A missing object was reported where it is missing; its keys need not be.
        if self.node is not None:
            self.report(f"{key} is missing", key)
        return None

    def _path_of(self, key: str | None) -> str:
        if key is None:
            return self.path
        return f"{self.path}/{key.replace('~', '~0').replace('/', '~1')}"
