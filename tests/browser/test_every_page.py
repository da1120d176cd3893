"""Every page there is, taken from the server's own table of addresses: read by the checker, at both sizes of text.

A new page fails here until somebody has said how it is reached.
"""

import re

import pytest
from checker import faults

from fieldapp.web.common.i18n import LANGUAGE_NAMES
from fieldapp.web.server import create_app

NO_PAGES = frozenset({
    "static", "start.ping", "api.part", "api.whole", "day.as_json", "photos.picture", "stock.pdf",
    "readiness.stickers", "readiness.moved", "readiness.labels", "inspect_course.file", "join.scanned", "entries.again",
    "find.photo_again", "inspect.photo_again", "inspect_course.again", "inspect_course.again_box", "readiness.again"})
"""Files, answers for scripts, and addresses that lead on to a page of their own."""
FILLED = {"text": ("H22", "S073.2", "H62"), "name": ("H22", "S073"), "number": ("1",)}
"""What stands in the gaps of an address: a hub, an end of a strut, a spare."""
ALSO = ("/bundle?name=struts%20D", "/P/XX9", "/nowhere", "/place/H99", "/inspect/find?q=S07", "/find?q=XX")
WIDE = """() => [document.documentElement,
                 ...document.querySelectorAll("button, .press, nav a, .mark, label, summary, h1")]
    .filter((e, i) => i ? e.clientWidth > 0 && e.scrollWidth > e.clientWidth + 1 : e.scrollWidth > 360)
    .map((e) => e === document.documentElement ? "the page" : e.textContent.trim())"""
UNHIDE = "document.querySelectorAll('[data-out-of-reach], [data-waiting]').forEach((e) => { e.hidden = false })"
SIZE = "size => { document.documentElement.style.fontSize = size }"


def _addresses(book, most=1):
    """Addresses for every way to reach a page, and for the pages that say what went wrong; at most so many a way."""
    damaged = next(entry.key for entry in book.state.entries if entry.kind == "damaged")
    gaps = {**FILLED, "key": (damaged,)}
    for rule in create_app(book).url_map.iter_rules():
        if "GET" in rule.methods and rule.endpoint not in NO_PAGES:
            pattern = re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", rule.rule)
            name = next(iter(rule.arguments), None)
            yield from (pattern.format(**{name: value}) if name else pattern for value in gaps.get(name, ("",))[:most])
    yield from ALSO


@pytest.mark.parametrize(("scheme", "most"), [("light", 3), ("dark", 1)])
def test_the_checker_finds_nothing_on_any_page(seen_shed, new_phone, scheme, most):
    address, book = seen_shed
    phone = new_phone(bypass_csp=True, color_scheme=scheme)      # the checker has to be put into the page
    found = []
    for path in _addresses(book, most):
        phone.goto(address + path)
        assert phone.locator("h1").count() == 1, path
        found += faults(phone, scheme)
    assert found == []


@pytest.mark.parametrize("language", LANGUAGE_NAMES)
def test_no_page_is_cut_or_runs_off_the_side_in_any_language(seen_shed, new_phone, language):
    address, book = seen_shed
    phone = new_phone(locale=language)
    cut = []
    for path in _addresses(book, 3 if language == "de" else 1):      # its words are the longest
        phone.goto(address + path)
        assert phone.locator("html").get_attribute("lang") == language
        phone.evaluate(UNHIDE)
        for size in ("100%", "200%"):
            phone.evaluate(SIZE, size)
            cut += [(path, size, what) for what in phone.evaluate(WIDE)]
    assert cut == []
