"""What stands, what it bears, and what follows from the next act."""
