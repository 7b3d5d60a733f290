"""The scripts of a phone's pages, a file each: a phone waits for each it asks for."""

import hashlib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from pathlib import Path

from django.urls import reverse

_SIGNS = 12


def static_folder() -> Path:
    """Return where the scripts and styles of the pages are."""
    return Path(str(files("frontend"))) / "static" / "frontend"


@dataclass(frozen=True, slots=True)
class Bundle:
    """Scripts that are served as one file.

    Attributes
    ----------
    route : str
        The name of the address that serves them.
    names : tuple of str
        The scripts, in the order in which they need one another.
    """

    route: str
    names: tuple[str, ...]

    @property
    def content(self) -> str:
        """The scripts, one after the other."""
        paths = [static_folder() / name for name in self.names]
        return _joined(tuple((str(path), path.stat().st_mtime_ns) for path in paths))

    @property
    def address(self) -> str:
        """The address of the scripts, with a mark of their content."""
        mark = hashlib.sha256(self.content.encode()).hexdigest()[:_SIGNS]
        return f"{reverse(self.route)}?v={mark}"


@lru_cache(maxsize=4)
def _joined(paths: tuple[tuple[str, int], ...]) -> str:
    return "\n".join(Path(path).read_text(encoding="utf-8") for path, _ in paths)


#: Where slips are typed in.
HOME = Bundle(
    "home-scripts",
    (
        "words.js",
        "check-sign.js",
        "slip-code.js",
        "numbers.js",
        "leaving.js",
        "keeper.js",
        "kept-here.js",
    ),
)
BENCH = Bundle(
    "bench-scripts",
    (
        "words.js",
        "numbers.js",
        "live-line.js",
        "boxes.js",
        "leaving.js",
        "keeper.js",
        "receipt.js",
        "site.js",
        "phones.js",
        "outbox.js",
        "problems.js",
        "sheet.js",
        "on-sheet.js",
        "check-sign.js",
        "actuals.js",
        "plausible.js",
        "number-words.js",
        "reader.js",
        "timer.js",
        "station.js",
    ),
)
