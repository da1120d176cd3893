"""Damage, repair and exchange."""

from fieldapp.web.damage import answer, mending, other

PAGES = (answer.bp, mending.bp, other.bp)
