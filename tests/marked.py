"""A language in which every message is marked: what is no message, read by a robot, was left in English.

Only the words of a message are marked, not what is filled into it, so that a sentence made somewhere else and set into
a translated one shows as well. What people write themselves is in Greek letters in these tests.
"""

import gettext
import re
from html.parser import HTMLParser

from catalogues import read

SHOWN = frozenset({"aria-label", "title", "alt", "placeholder"})
GAP = re.compile(r"(\{[^{}]*\}|%\(\w+\)s|%%)")


class Marked(gettext.NullTranslations):
    """Every message with its words between two signs; what is no message stays as it is."""

    def __init__(self, messages, signs="⟦⟧"):
        super().__init__()
        self.messages, self.signs = frozenset(messages), signs

    def gettext(self, message):
        if message not in self.messages:
            return message
        return "".join(piece if gap % 2 or not re.search("[A-Za-z]", piece) else piece.join(self.signs)
                       for gap, piece in enumerate(GAP.split(message)))

    def ngettext(self, singular, plural, n):
        return self.gettext(singular if n == 1 else plural)

    def info(self):
        """Numbers are written with a comma, so that a point shows as well."""
        return {"language": "de"}


def marked(signs="⟦⟧"):
    """All messages of the sources: those of any catalogue, which `tests/web/test_languages.py` holds complete."""
    return Marked((text for message in read("nl") if message.id
                   for text in ([message.id] if isinstance(message.id, str) else message.id)), signs)


class Page(HTMLParser):
    """What a page shows or says aloud, its links, and its forms as a browser would send them."""

    def __init__(self, text):
        super().__init__()
        self.shown, self.links, self.forms, self.hidden, self.choices = [], [], [], 0, None
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        self.hidden += tag in ("script", "style")
        self.shown += [value for name, value in attrs if value and (
            name in SHOWN or (name.startswith("data-") and re.search(r"[ ⟦]", value)))]
        if tag == "a" and given.get("href"):
            self.links.append(given["href"])
        if tag == "form":
            self.forms.append((given.get("action", ""), given.get("method", "get"), {}))
        if self.forms and tag in ("input", "select", "textarea", "button") and given.get("name"):
            self.choices = self.forms[-1][2].setdefault(given["name"], [given.get("type", tag), []])[1]
            if tag != "select":
                self.choices.append(given.get("value", ""))
        elif tag == "option" and self.choices is not None:
            self.choices.append(given.get("value", ""))

    def handle_endtag(self, tag):
        self.hidden -= tag in ("script", "style")

    def handle_data(self, data):
        if not self.hidden and data.strip():
            self.shown.append(" ".join(data.split()))
