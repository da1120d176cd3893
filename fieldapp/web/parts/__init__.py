"""Finding a part or a place, by photo, camera or ID; its page, its history, the stock."""

from fieldapp.web.parts import codes, find, history, part, place, stock

PAGES = (part.bp, place.bp, find.bp, find.live, stock.bp, codes.bp, history.bp, history.watched)
