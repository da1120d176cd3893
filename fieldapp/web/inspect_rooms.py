"""The pages before the next use: the inspection round, its course and paper, and readiness."""

from fieldapp.web import inspect, inspect_course, readiness

INSPECT_ROOMS = (inspect.bp, inspect_course.bp, readiness.bp)
"""Blueprints in the order in which people meet them."""
