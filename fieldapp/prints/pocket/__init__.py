"""The whole kit in one page, for phones out of reach."""
