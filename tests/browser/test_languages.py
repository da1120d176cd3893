"""Every language on a small phone: nothing runs off the side, no button is cut, at plain and at double text size."""

import pytest

from fieldapp.web.i18n import LANGUAGE_NAMES

PATHS = ["/", "/find", "/log", "/me", "/join", "/live", "/ring/1", "/place/H22", "/P/S073.2", "/damage/H22", "/chief",
         "/raise", "/P/XX9"]
CUT = """() => [...document.querySelectorAll("button, .press, nav a, .mark, label, summary")]
    .filter((e) => e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0).map((e) => e.textContent.trim())"""

UNHIDE = "document.querySelectorAll('[data-out-of-reach], [data-waiting]').forEach((e) => { e.hidden = false })"


@pytest.mark.parametrize("language", LANGUAGE_NAMES)
def test_nothing_is_cut_or_runs_off_the_side(site, new_phone, language):
    address, _, _ = site
    phone = new_phone(locale=language)
    for path in PATHS:
        phone.goto(address + path)
        assert phone.locator("html").get_attribute("lang") == language
        phone.evaluate(UNHIDE)
        for size in ("100%", "200%"):
            phone.evaluate("size => { document.documentElement.style.fontSize = size }", size)
            assert phone.evaluate("document.documentElement.scrollWidth") <= 360, (path, size)
            assert phone.evaluate(CUT) == [], (path, size)
