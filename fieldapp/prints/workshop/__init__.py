"""Sheets for whoever makes the parts."""
