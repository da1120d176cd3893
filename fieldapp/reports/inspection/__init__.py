"""What an inspection round saw."""
