"""Photos: of labels to be read, of damage to be kept."""

from fieldapp.web.photos import kept

PAGES = (kept.bp,)
