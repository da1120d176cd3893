"""The pages that bring a phone in and keep it going: joining, its language, live scanning, the pocket copy."""

from fieldapp.web.parts import live
from fieldapp.web.phone import join, language, pocket

PHONE_ROOMS = (join.bp, language.bp, live.bp, pocket.bp)
"""Blueprints in the order in which people meet them."""
