"""Upkeep over all kits: what is due when, how long parts last by the history of all, what to make this winter."""
