"""The log as people read it."""
