"""The pages that bring a phone in and keep it going: joining, its language, live scanning."""

from fieldapp.web import join, language, live

PHONE_ROOMS = (join.bp, language.bp, live.bp)
"""Blueprints in the order in which people meet them."""
