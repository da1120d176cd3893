"""What a part went through, what is left of it, what may stand in for it."""
