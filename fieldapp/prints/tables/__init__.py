"""Tables for other programs."""
