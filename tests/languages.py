"""A language that nobody speaks: what is not in its brackets was never translated."""

import io
import re
from html.parser import HTMLParser

from babel.messages.mofile import write_mo

from labsite.catalogues import Catalogues

OPEN, CLOSE = "⟦", "⟧"
# What the course of the tests has written itself, names, units and signs.
NAMES = (
    "Benchwide", "Deutsch", "English", "Iron, autumn", "Wear goggles and gloves.",
    "SO", "hydroxylammonium chloride", "1,10-phenanthroline", "reduces", "colours",
    "ACD-3FH-K7X", "mL", "mg", "nm", "cm", "Fe", "NH",
)  # fmt: skip
_SPOKEN = re.compile(r"[^\W\d_]{2,}")
_READ_OUT = frozenset({"alt", "aria-label", "placeholder", "title"})
_SILENT = frozenset({"script", "style"})


def speak_brackets(settings, folder):
    """Have German be English in brackets; what has none is not translated."""
    for domain in ("django", "djangojs"):
        catalogue = Catalogues().collected(domain)
        catalogue.locale = "de"
        for message in catalogue:
            if message.id:
                message.string = _in_brackets(message.id)
        path = folder / "de" / "LC_MESSAGES" / f"{domain}.mo"
        path.parent.mkdir(parents=True, exist_ok=True)
        out = io.BytesIO()
        write_mo(out, catalogue)
        path.write_bytes(out.getvalue())
    settings.LOCALE_PATHS = [folder]


def _in_brackets(sentence):
    if isinstance(sentence, str):
        return f"{OPEN}{sentence}{CLOSE}"
    return tuple(map(_in_brackets, sentence))


def outside_brackets(html, *, names=()):
    """Return the words of a page that no translation brought.

    Parameters
    ----------
    names : iterable of str
        Names and data of the course, which are the same in every language.
    """
    reader = _Reader()
    reader.feed(html)
    said = "\n".join((reader.text(), *reader.read_out))
    for name in sorted(names, key=len, reverse=True):
        said = said.replace(name, " ")
    return _SPOKEN.findall(_without_brackets(said))


def _without_brackets(text):
    kept, depth = [], 0
    for sign in text:
        depth += sign == OPEN
        if depth == 0:
            kept.append(sign)
        depth -= sign == CLOSE
    return "".join(kept)


class _Reader(HTMLParser):
    """Collects what a page says: its text, and what is only read out."""

    def __init__(self):
        super().__init__()
        self.parts = []
        self.read_out = []
        self.silent = 0

    def text(self):
        return " ".join(self.parts)

    def handle_starttag(self, tag, attrs):
        self.silent += tag in _SILENT
        self.read_out += [value for name, value in attrs if name in _READ_OUT and value]

    def handle_endtag(self, tag):
        self.silent -= tag in _SILENT

    def handle_data(self, data):
        if not self.silent:
            self.parts.append(data)
