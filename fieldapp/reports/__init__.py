"""Answers from plan and log: progress, pace, readiness, history. No HTML, no SQL."""
