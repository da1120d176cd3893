"""Every page there is, taken from the server's own table of addresses: read by the checker, at both sizes of text.

A new page fails here until somebody has said how it is reached.
"""

import re
from itertools import product

import pytest
from checker import faults

from fieldapp.web.common.i18n import LANGUAGE_NAMES
from fieldapp.web.server import create_app

NO_PAGES = frozenset({
    "static", "start.ping", "api.part", "api.whole", "day.as_json", "photos.picture", "stock.pdf",
    "readiness.stickers", "readiness.moved", "readiness.labels", "inspect_course.file", "join.scanned", "entries.again",
    "find.photo_again", "inspect.photo_again", "inspect_course.again", "inspect_course.again_box", "readiness.again",
    "step.own", "step.again", "turning.numbers", "stop.alarm", "api.alarm"})
"""Files, answers for scripts, and addresses that lead on to a page of their own."""
FILLED = {"text": ("H22", "S073.2", "H62"), "name": ("H22", "S073"), "number": ("1",), "step": ("1",)}
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
            names = re.findall(r"<(?:\w+:)?(\w+)>", rule.rule)
            pattern = re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", rule.rule)
            yield from (pattern.format(**dict(zip(names, values, strict=True)))
                        for values in list(product(*(gaps.get(name, ("",)) for name in names)))[:most])
    yield from ALSO


@pytest.mark.parametrize(("scheme", "most"), [
    *(pytest.param(scheme, 1, marks=pytest.mark.thorough) for scheme in ("light", "dark")),
    pytest.param("light", 3, marks=pytest.mark.bench)])
def test_the_checker_finds_nothing_on_any_page(seen_shed, new_phone, scheme, most):
    address, book = seen_shed
    phone = new_phone(bypass_csp=True, color_scheme=scheme)      # the checker has to be put into the page
    found = []
    for path in _addresses(book, most):
        phone.goto(address + path)
        assert phone.locator("h1").count() == 1, path
        found += faults(phone, scheme)
    assert found == []


WORDS_SEEN = """() => { const seen = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
      const node = walk.currentNode, range = document.createRange();
      range.selectNodeContents(node);
      const box = range.getBoundingClientRect();
      const shown = box.width && box.top < innerHeight && node.parentElement.checkVisibility();
      if (shown && !node.parentElement.closest("svg, script, .skip")) {
        seen.push(...node.textContent.split(/\\s+/).filter((word) => word));
      } }
    return seen.length; }"""


def test_the_first_thing_seen_of_a_card_is_short_and_has_its_button_in_every_language(seen_shed, new_phone):
    """On 360 x 600: ID, where, picture and button, in at most 60 words."""
    address, book = seen_shed
    step = book.site.plan.steps[0]
    part, wrong = book.state.allocation[step.hub], []
    for language in LANGUAGE_NAMES:
        phone = new_phone(locale=language)
        phone.set_viewport_size({"width": 360, "height": 600})
        for path in (f"/step/{step.places[0]}", f"/P/{part}", f"/place/{step.hub}"):
            phone.goto(address + path)
            foot = phone.locator(".card .acts .press").first.bounding_box()
            top = phone.locator(".card .pictures").first.bounding_box()
            words = phone.evaluate(WORDS_SEEN)
            if foot["y"] + foot["height"] > 600 or top["y"] + top["height"] / 2 > 600 or words > 60:
                wrong.append((language, path, foot, top, words))
    assert wrong == []


@pytest.mark.parametrize(("language", "most"), [
    ("de", 1),       # whose words are the longest
    *(pytest.param(language, 1, marks=pytest.mark.thorough) for language in LANGUAGE_NAMES if language != "de"),
    pytest.param("de", 3, marks=pytest.mark.bench)])
def test_no_page_is_cut_or_runs_off_the_side_in_any_language(seen_shed, new_phone, language, most):
    address, book = seen_shed
    phone = new_phone(locale=language)
    cut = []
    for path in _addresses(book, most):
        phone.goto(address + path)
        assert phone.locator("html").get_attribute("lang") == language
        phone.evaluate(UNHIDE)
        for size in ("100%", "200%"):
            phone.evaluate(SIZE, size)
            cut += [(path, size, what) for what in phone.evaluate(WIDE)]
    assert cut == []
