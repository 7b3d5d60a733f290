"""The scripts of the bench sheet as one file: a phone waits for each it asks for."""

import hashlib
from functools import lru_cache
from importlib.resources import files
from pathlib import Path

from django.urls import reverse

#: In the order in which they need one another.
BENCH_SCRIPTS = (
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
)
_SIGNS = 12


def static_folder() -> Path:
    """Return where the scripts and styles of the pages are."""
    return Path(str(files("frontend"))) / "static" / "frontend"


def bench_scripts() -> str:
    """Return the scripts of the bench sheet, one after the other."""
    paths = [static_folder() / name for name in BENCH_SCRIPTS]
    return _joined(tuple((str(path), path.stat().st_mtime_ns) for path in paths))


@lru_cache(maxsize=1)
def _joined(paths: tuple[tuple[str, int], ...]) -> str:
    return "\n".join(Path(path).read_text(encoding="utf-8") for path, _ in paths)


def bench_scripts_address() -> str:
    """Return the address of the scripts, with a mark of their content."""
    mark = hashlib.sha256(bench_scripts().encode()).hexdigest()[:_SIGNS]
    return f"{reverse('bench-scripts')}?v={mark}"
