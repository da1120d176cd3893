"""Three small kits at one laptop, the chief at it: Mill lacks spares, Rope has one of each, Cart has none."""

import html
import re
from datetime import UTC, datetime

from at_the_laptop import at_the_laptop
from small_frame import tiny_design

from fieldapp.frame.design import SparesSection
from fieldapp.kit import build_kit
from fieldapp.kit.file import write_kit
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Entry, Request
from fieldapp.plan.order import level_order
from fieldapp.plan.planner import with_help
from fieldapp.web.common.rights import Rights
from fieldapp.web.yard import pooling
from fieldapp.web.yard.app import create_yard

NOW = datetime(2027, 4, 28, 10, 14, tzinfo=UTC)


def design(name, prefix, **spares):
    made = tiny_design(spares=SparesSection(**spares))
    return made.model_copy(update={"frame": made.frame.model_copy(update={"name": name, "prefix": prefix})})


def three_kits():
    """Mill lacks spares, Rope has one of each, Cart has none."""
    return [build_kit(design("Mill Dome", "MD")),
            build_kit(design("Rope Dome", "RD", hubs_most_common=1, hubs_each_other=1, struts_each=1)),
            build_kit(design("Cart Dome", "CD"))]


class YardOfThree:
    """Three kits at one laptop, the chief at it."""

    def __init__(self, folder, kits):
        self.books = []
        for kit in kits:
            place = folder / kit.design.frame.prefix
            place.mkdir()
            write_kit(place, kit)
            plan = with_help(level_order(kit.frame, kit.design), kit.frame, kit.design)
            self.books.append((place, SiteBook.open(kit, plan, place / "log.sqlite")))
        self.app = create_yard(folder, self.books, Rights(), clock=lambda: NOW)
        self.chief = at_the_laptop(self.app).test_client()
        self.sent = 0

    def book(self, number):
        return self.books[number][1]

    def close(self):
        for _folder, book in self.books:
            book.close()

    def log(self, number, kind, part=None, **data):
        self.sent += 1
        done = self.book(number).submit(Request(f"key {self.sent}", kind, part, chief=True, data=data), NOW)
        assert isinstance(done, Entry), done
        return done

    def text(self, page):
        """Of a page once Rope is judged, which may lend."""
        with self.app.test_request_context():
            pooling.pool_kit(pooling.yard().kits[1], NOW, patience_s=60.0)
        return html.unescape(self.chief.get(page).text)

    def press(self, page, act, **choice):
        """The button of a form whose hidden fields hold these values."""
        forms = re.findall(r'<form method="post" action="([^"]+)">(.*?)</form>', self.text(page), re.S)
        for action, inside in forms:
            fields = dict(re.findall(r'name="([^"]+)" value="([^"]*)"', inside))
            if action.endswith(act) and choice.items() <= fields.items():
                return self.chief.post(action, data=fields)
        raise AssertionError((act, choice, forms))
