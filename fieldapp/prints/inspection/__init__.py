"""Paper of an inspection round."""
