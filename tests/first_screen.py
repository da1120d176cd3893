"""The words that a page shows first: neither folded nor hidden nor drawn, down to the end of its card."""

import html
import re

MOST_WORDS = 60
_HIDDEN = re.compile(r"<(section|p|div|span)\b[^>]*\bhidden\b[^>]*>.*?</\1>", re.DOTALL)
_CARD = re.compile(r'^.*?<div class="card">.*?\n</div>\n', re.DOTALL)


def first_words(page):
    """Of the HTML of a page: the bar, what stands above everything, the card; a fold counts by its summary."""
    body = re.sub(r"<svg.*?</svg>", " ", page[page.index("<nav"):], flags=re.DOTALL)
    card = _CARD.match(_HIDDEN.sub(" ", body))
    assert card, "the page has no card"
    shown = re.sub(r"</summary>.*?</details>", " ", card[0], flags=re.DOTALL)
    words = html.unescape(re.sub(r"<[^>]+>", " ", shown)).split()
    return [word for word in words if any(map(str.isalnum, word))]
