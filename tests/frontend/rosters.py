"""Forms of the pages for people and groups, as a browser sends them back."""

import re

from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

_INPUT = re.compile(r"<input ([^>]*)>")
_SELECT = re.compile(r'<select [^>]*name="([^"]+)"[^>]*>(.*?)</select>', re.DOTALL)
_CHOSEN = re.compile(r'<option value="([^"]*)" selected')
_FIRST = re.compile(r'<option value="([^"]*)"')

CSV = "name,number,section\nIvo Marsh,0,A2\nNew Birk,9,A1\n"


def words(page):
    """The text of a page, each run of blanks as one."""
    return " ".join(page.content.decode().split())


def upload(client, content, code="IRON-1"):
    """Choose a file on the roster's page; return the next page."""
    if isinstance(content, str):
        content = content.encode()
    file = SimpleUploadedFile("roster.csv", content)
    return client.post(reverse("prepare-roster-file", args=[code]), {"file": file})


def fields_of(page, *, without=()):
    """What the page's form of a file would send as it stands."""
    text = page.content.decode()
    text = text[text.rindex("<form", 0, text.index('name="carried"')) :]
    fields = {}
    for attributes in _INPUT.findall(text):
        found = dict(re.findall(r'(\w+)="([^"]*)"', attributes))
        if found.get("type") == "hidden" or "checked" in attributes:
            fields.setdefault(found["name"], []).append(found.get("value", "on"))
    for name, options in _SELECT.findall(text):
        chosen = _CHOSEN.search(options) or _FIRST.search(options)
        fields[name] = [chosen[1]]
    return {name: value for name, value in fields.items() if name not in without}


def press(client, page, code="IRON-1", **changes):
    """Send the page's form, with some boxes filled in otherwise."""
    fields = fields_of(page) | changes
    return client.post(reverse("prepare-roster-file", args=[code]), fields)


def people(client, **query):
    """The words of the page that lists people."""
    return words(client.get(reverse("prepare-roster", args=["IRON-1"]), query))
