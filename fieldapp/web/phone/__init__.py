"""Bringing a phone in and keeping it going."""

from fieldapp.web.phone import join, me, pocket

PAGES = (join.bp, me.bp, me.language, pocket.bp)
