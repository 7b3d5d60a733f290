"""Pages that prepare a course, as a coordinator goes through them."""

import re

from django.urls import reverse


def page(client, name, **query):
    return client.get(reverse(name, args=["IRON-1"]), query)


def text(answer):
    return answer.content.decode()


def press(client, name, **fields):
    return client.post(reverse(name, args=["IRON-1"]), fields)


def filled(answer):
    """Everything that stands in the boxes of a page, as a browser would send it."""
    found = {}
    for tag in re.findall(r"<input[^>]*>", text(answer)):
        name, value = (re.search(rf'{key}="([^"]*)"', tag) for key in ("name", "value"))
        if name and 'type="checkbox"' not in tag and name[1] != "csrfmiddlewaretoken":
            found[name[1]] = value[1] if value else ""
    for name, options in re.findall(
        r'<select[^>]* name="([^"]+)".*?>(.*?)</select>', text(answer), re.DOTALL
    ):
        chosen = re.search(r'value="([^"]*)" selected', options)
        found[name] = chosen[1] if chosen else ""
    lines = r'<textarea[^>]* name="([^"]+)"[^>]*>(.*?)</textarea>'
    return found | dict(re.findall(lines, text(answer), re.DOTALL))
