"""Damage, repair and exchange."""

from fieldapp.web.damage import answer, exchange, mending, other

PAGES = (answer.bp, exchange.bp, mending.bp, other.bp)
