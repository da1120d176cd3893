"""What follows from damage."""
