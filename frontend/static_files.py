"""Addresses of static files that change with their content."""

import hashlib
from functools import lru_cache
from pathlib import Path

from django.contrib.staticfiles import finders
from whitenoise.storage import CompressedStaticFilesStorage

_SIGNS = 12


@lru_cache(maxsize=512)
def _digest(path: str, modified_ns: int) -> str:
    del modified_ns  # A file that was written anew is read anew.
    return hashlib.sha256(Path(path).read_bytes()).hexdigest()[:_SIGNS]


class VersionedStaticFiles(CompressedStaticFilesStorage):  # type: ignore[misc]
    """Gives each file's address a mark of its content.

    A page kept on a phone goes on with the files it was made with, and a new page
    asks for the new ones: the two are never mixed.
    """

    def url(self, name: str | None, *args: object, **kwargs: object) -> str:
        """Return the address of a file, with the mark of its content if found."""
        address: str = super().url(name, *args, **kwargs)
        path = finders.find(name) if name else None
        if not isinstance(path, str) or not Path(path).is_file():
            return address
        return f"{address}?v={_digest(path, Path(path).stat().st_mtime_ns)}"
