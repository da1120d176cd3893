"""The first page of the workshop's sheets where something stands against building the frame as designed."""

from fieldapp.base.said import in_words
from fieldapp.base.words import _, marked
from fieldapp.kit.building import hindrances
from fieldapp.prints.common import SheetPageMaker, WorkshopSheet, finished
from labels.page import Mark, Page

HEADS = {True: marked("Stop: this frame cannot be put together as designed"),
         False: marked("Before anything is cut")}
"""Whether something of it refuses."""


def before_pages(sheet: WorkshopSheet) -> tuple[SheetPageMaker, ...]:
    """One page, or none where nothing stands against it."""
    found = hindrances(sheet.kit.design, sheet.kit.frame)

    def make(sheet: WorkshopSheet, number: int) -> Page:
        column = sheet.column()
        title = _(HEADS[found[0].refuses])
        column.bar(title)
        column.points(in_words(each.said) for each in found)
        return finished(sheet, number, column.items, marks=(Mark("before", title),))

    return (make,) if found else ()
