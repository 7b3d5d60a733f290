"""The reader's language for scripts."""

from functools import cache
from pathlib import Path

from babel.messages.mofile import read_mo
from django import template
from django.conf import settings
from django.utils.html import json_script
from django.utils.translation import get_language, to_locale

register = template.Library()


@register.simple_tag
def words_for_scripts() -> str:
    """Return the sentences of the scripts as data; nothing if they stay as they are.

    `words.js` reads them; a data block is run by no browser.
    """
    words = _words(get_language() or "en", tuple(map(str, settings.LOCALE_PATHS)))
    return json_script(words, "words") if words else ""


@cache
def _words(language: str, folders: tuple[str, ...]) -> dict[str, str]:
    words: dict[str, str] = {}
    for folder in folders:
        path = Path(folder, to_locale(language), "LC_MESSAGES", "djangojs.mo")
        if path.exists():
            with path.open("rb") as file:
                words |= {str(m.id): str(m.string) for m in read_mo(file) if m.id}
    return words
