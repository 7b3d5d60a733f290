"""Catalogues of words: collected from the code, checked, compiled.

``python -m labsite.catalogues update`` brings every catalogue up to what the code
says, ``check`` says what a translator has yet to do, ``compile`` makes what the site
reads. Sentences of Python and of templates are the domain ``django``, those of
scripts ``djangojs``.
"""

import argparse
import io
import os
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract, extract_python
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from django.utils.translation.template import templatize

ROOT = Path(__file__).resolve().parent.parent
ROOMS = ("results", "frontend", "api")
_KEYWORDS: dict[str, Any] = {
    "tell": None,
    "marked": None,
    "tell_counted": (1, 2),
    # The advice of a slip stands in a table that knows nothing of languages.
    "Deed": (5,),
    "gettext": None,
    "gettext_lazy": None,
    "ngettext": (1, 2),
    "pgettext": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
}
_DOMAINS = {
    "django": (("*.py", "python"), ("*.html", f"{__name__}:template_words")),
    "djangojs": (("*.js", "javascript"),),
}
# {name}, {name:g} of our sentences; %(name)s of the framework's.
_PLACEHOLDER = re.compile(r"\{[A-Za-z_]\w*(?::[^}]*)?\}|%\(\w+\)[sd]")


def template_words(
    file: io.BufferedReader, keywords: Any, comment_tags: Any, options: Any
) -> Iterator[Any]:
    """Yield the sentences of a template, as Babel's methods of collecting do."""
    source = templatize(file.read().decode())
    # In brackets, the lines need no indentation that Python would understand.
    yield from extract_python(
        io.BytesIO(f"({source})".encode()), keywords, comment_tags, options
    )


@dataclass(frozen=True, slots=True)
class Catalogues:
    """The catalogues of one checkout.

    Attributes
    ----------
    root : Path
        Folder of the checkout.
    """

    root: Path = ROOT

    @property
    def locales(self) -> Path:
        """Folder with one folder for each language."""
        return self.root / "labsite" / "locale"

    def files(self) -> list[Path]:
        """Return the catalogue of every language and domain."""
        return sorted(self.locales.glob("*/LC_MESSAGES/*.po"))

    def collected(self, domain: str) -> Catalog:
        """Return every sentence that the code says, without translations."""
        catalogue = Catalog(project="Benchwide", charset="utf-8", fuzzy=False)
        for pattern, method in _DOMAINS[domain]:
            for path in self._sources(pattern):
                with path.open("rb") as file:
                    for line, sentence, comments, context in extract(
                        method, file, _KEYWORDS, comment_tags=("Translators:",)
                    ):
                        catalogue.add(
                            sentence,
                            locations=[(path.relative_to(self.root).as_posix(), line)],
                            auto_comments=comments,
                            context=context,
                        )
        return catalogue

    def _sources(self, pattern: str) -> list[Path]:
        return sorted(
            path
            for room in ROOMS
            for path in (self.root / room).rglob(pattern)
            if "migrations" not in path.parts
        )

    def update(self) -> None:
        """Give every language each sentence of the code, and no other."""
        for domain in _DOMAINS:
            wanted = self.collected(domain)
            for folder in sorted(self.locales.glob("*/LC_MESSAGES")):
                path = folder / f"{domain}.po"
                if path.exists():
                    known = read_catalogue(path)
                elif len(wanted):
                    known = Catalog(locale=folder.parent.name, fuzzy=False)
                else:
                    continue
                created = known.creation_date
                known.update(wanted, no_fuzzy_matching=True)
                # Two updates of the same words are the same file.
                known.creation_date = created
                path.write_bytes(written(known))

    def problems(self) -> list[str]:
        """Return what is yet to be done, a line each."""
        return [
            f"{path.relative_to(self.locales)}: {problem}"
            for path in self.files()
            for problem in problems_of(read_catalogue(path), self.collected(path.stem))
        ]

    def stale(self) -> list[Path]:
        """Return the catalogues that changed since they were compiled, if ever."""
        return [
            path
            for path in self.files()
            if not compiled_of(path).exists()
            or compiled_of(path).stat().st_mtime < path.stat().st_mtime
        ]

    def compile_stale(self) -> None:
        """Compile what has changed."""
        for path in self.stale():
            out = io.BytesIO()
            write_mo(out, read_catalogue(path))
            # Whole or not there, for two processes that start together.
            part = path.with_suffix(f".{os.getpid()}.part")
            part.write_bytes(out.getvalue())
            part.replace(compiled_of(path))


def read_catalogue(path: Path) -> Catalog:
    """Read one catalogue."""
    with path.open("rb") as file:
        return read_po(file, locale=path.parent.parent.name, domain=path.stem)


def written(catalogue: Catalog) -> bytes:
    """Return a catalogue as it is stored."""
    out = io.BytesIO()
    # The number of a line would change with every line above it.
    write_po(
        out,
        catalogue,
        width=88,
        ignore_obsolete=True,
        sort_output=True,
        include_lineno=False,
    )
    return out.getvalue()


def compiled_of(path: Path) -> Path:
    """Return where a catalogue's compiled form stands."""
    return path.with_suffix(".mo")


def problems_of(catalogue: Catalog, wanted: Catalog) -> Iterator[str]:
    """Yield what a catalogue lacks of the sentences wanted, or says otherwise."""
    for message in wanted:
        if not message.id:
            continue
        problem = _problem(message, catalogue.get(message.id, message.context))
        if problem:
            yield f"{problem}: {message.id!r}"
    for message in catalogue:
        if message.id and wanted.get(message.id, message.context) is None:
            yield f"no longer said: {message.id!r}"


def _problem(message: Message, translated: Message | None) -> str:
    if translated is None:
        return "not collected yet"
    if translated.fuzzy:
        return "marked as fuzzy"
    strings = _strings(translated)
    if not strings or not all(strings):
        return "not translated"
    if any(_differs(message, string) for string in strings):
        return "other placeholders"
    return ""


def _strings(message: Message) -> tuple[str, ...]:
    if isinstance(message.string, str):
        return (message.string,)
    return tuple(message.string or ())


def _differs(source: Message, string: str) -> bool:
    *_, fullest = [source.id] if isinstance(source.id, str) else source.id
    used, given = placeholders(string), placeholders(fullest)
    # "One tube" may leave the number out; no other may.
    count = {"{n}", "%(n)s"}
    return used != given and not (source.pluralizable and used == given - count)


def placeholders(sentence: str) -> frozenset[str]:
    """Return the placeholders of a sentence.

    Examples
    --------
    >>> sorted(placeholders("{mass_g:g} g is outside {span} g"))
    ['{mass_g:g}', '{span}']
    """
    return frozenset(_PLACEHOLDER.findall(sentence))


def main(arguments: list[str], catalogues: Catalogues) -> int:
    """Do one thing to all catalogues; 1 if a check found something to do."""
    parser = argparse.ArgumentParser(prog="labsite.catalogues", description=__doc__)
    parser.add_argument("what", choices=["update", "check", "compile"])
    what = parser.parse_args(arguments).what
    if what == "compile":
        catalogues.compile_stale()
        return 0
    if what == "update":
        catalogues.update()
    found = catalogues.problems()
    sys.stdout.writelines(f"{line}\n" for line in found)
    return 1 if found and what == "check" else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:], Catalogues()))
