"""How far the raise is, and how fast it goes."""
