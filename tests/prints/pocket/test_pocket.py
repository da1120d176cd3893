"""The pocket copy: one file, nothing to fetch, every place in it, small enough to keep."""

import re
from html.parser import HTMLParser

import pytest

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit import build_kit
from fieldapp.plan.order import level_order
from fieldapp.prints.pocket import pocket_page, write_pocket

MOST_BYTES = 1_000_000


class Page(HTMLParser):
    """Collects ids, links, and whatever a browser would fetch."""

    def __init__(self, text):
        super().__init__()
        self.ids, self.links, self.fetched = [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        if "id" in given:
            self.ids.append(given["id"])
        if "href" in given and tag in ("a", "use"):
            self.links.append(given["href"])
        fetched = [given[name] for name in ("src", "srcset", "data", "action") if name in given]
        self.fetched += fetched + ([given["href"]] if tag == "link" and given["href"] != "data:," else [])


@pytest.fixture(scope="module")
def kit():
    return build_kit(orchard_hall())


@pytest.fixture(scope="module")
def plan(kit):
    return level_order(kit.frame, kit.design)


@pytest.fixture(scope="module")
def text(kit, plan):
    return pocket_page(kit, plan, {place: part.id for place, part in kit.by_place.items()})


def test_it_fits_and_fetches_nothing(text):
    assert len(text.encode()) <= MOST_BYTES
    page = Page(text)
    assert page.fetched == []
    assert not re.search(r"url\(|@import|https?://(?!www\.w3\.org/2000/svg)", text)


def test_every_filled_place_is_there_and_every_link_leads_somewhere(text, plan):
    page = Page(text)
    assert len(page.ids) == len(set(page.ids))
    assert set(plan.step_of) <= set(page.ids)
    assert {link for link in page.links if link[1:] not in page.ids} == set()


def test_a_place_says_what_its_page_says(text, kit, plan):
    strut = kit.frame.strut("S073")
    article = text[text.index('<article class="place" id="S073"'):]
    article = article[:article.index("</article>")]
    assert f"Lower end into arm {strut.end_1.arm} of {strut.end_1.hub}" in article
    assert f"Step {plan.step_for('S073').number} of {len(plan.steps)}" in article
    assert kit.by_place["S073"].id in article


def test_the_same_kit_gives_the_same_bytes(tmp_path, kit, plan):
    first = write_pocket(kit, plan, tmp_path / "a").read_bytes()
    assert write_pocket(kit, plan, tmp_path / "b").read_bytes() == first
