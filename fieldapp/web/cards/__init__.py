"""What several pages show of a part, a place or an entry."""
