"""The booklet of the raise, step by step."""
