"""Bringing a phone in and keeping it going."""

from fieldapp.web.phone import join, me, phones

PAGES = (join.bp, me.bp, me.choosing, me.carrying, phones.bp)
