"""The pages of the day on site: the raise and its chief, damage and repair, bundles, stock, history."""

from fieldapp.web.damage import mending, other
from fieldapp.web.parts import history, stock
from fieldapp.web.photos import photos
from fieldapp.web.raising import bundles, chief, course, day

SITE_ROOMS = (chief.bp, course.bp, mending.bp, other.bp, photos.bp, stock.bp, bundles.bp, history.bp, history.watched,
              day.bp)
"""Blueprints in the order in which people meet them."""
