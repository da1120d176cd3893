"""Bringing a phone in and keeping it going."""
