"""The pages that bring a phone in and keep it going: joining, its language, live scanning, the pocket copy."""

from fieldapp.web import join, language, live, pocket

PHONE_ROOMS = (join.bp, language.bp, live.bp, pocket.bp)
"""Blueprints in the order in which people meet them."""
