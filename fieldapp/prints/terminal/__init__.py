"""Answers for the terminal."""
