"""Posters for the site."""
