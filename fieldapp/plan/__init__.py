"""The order of erection, its stages and what must be held at each."""
