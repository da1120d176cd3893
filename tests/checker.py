"""What the checker of pages finds on the page that a phone shows: by the published rules of WCAG 2.2, AAA included."""

from axe_playwright_python.sync_playwright import Axe

RULES = {"light": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag2aaa", "wcag21aa", "wcag22aa",
                                             "best-practice"]},
         "dark": {"type": "rule", "values": ["color-contrast", "color-contrast-enhanced"]}}
"""By colour scheme: a dark page differs from the light one in its colours alone."""


def faults(phone, scheme="light"):
    """(path, rule, where) of each. The phone's context has to bypass the page's policy: the checker is put into it."""
    found = Axe().run(phone, options={"runOnly": RULES[scheme], "resultTypes": ["violations"]}).response["violations"]
    path = phone.evaluate("location.pathname + location.search")
    return [(path, fault["id"], fault["nodes"][0]["target"]) for fault in found]
