"""Forms of a page, and what a browser would send with each of their buttons."""

from dataclasses import dataclass, field
from html.parser import HTMLParser


@dataclass
class Form:
    """One form: where it goes, what stands in it, and its named buttons."""

    action: str
    fields: dict = field(default_factory=dict)
    buttons: list = field(default_factory=list)
    files: list = field(default_factory=list)

    def pressed(self):
        """Yield what is sent by each button; by pressing Enter if none has a name."""
        for button in self.buttons or [{}]:
            yield {**self.fields, **button}


class _Forms(HTMLParser):
    def __init__(self):
        super().__init__()
        self.forms = []
        self.select = self.text = None

    def handle_starttag(self, tag, attrs):
        found = {name: value or "" for name, value in attrs}
        if tag == "form" and found.get("method", "").lower() == "post":
            self.forms.append(Form(found.get("action", "")))
        elif self.forms and "name" in found:
            self._box(tag, found, self.forms[-1])
        elif tag == "option" and self.select and self.forms:
            self._option(found, self.forms[-1])

    def _option(self, found, form):
        if "selected" in found or self.select not in form.fields:
            form.fields[self.select] = found.get("value", "")

    def _box(self, tag, found, form):
        name, value = found["name"], found.get("value", "")
        kind = found.get("type", "text")
        if tag == "button" or kind == "submit":
            form.buttons.append({name: value})
        elif kind == "file":
            form.files.append(name)
        elif tag == "input":
            if kind != "radio" or "checked" in found or name not in form.fields:
                form.fields[name] = value or ("on" if kind == "checkbox" else "")
        elif tag == "select":
            self.select = name
        elif tag == "textarea":
            self.text = name
            form.fields[name] = ""

    def handle_endtag(self, tag):
        if tag == "select":
            self.select = None
        elif tag == "textarea":
            self.text = None

    def handle_data(self, data):
        if self.text and self.forms:
            self.forms[-1].fields[self.text] += data


def forms_of(html):
    """Return every form of a page that sends something."""
    reader = _Forms()
    reader.feed(html)
    for form in reader.forms:
        form.fields.pop("csrfmiddlewaretoken", None)
    return reader.forms
