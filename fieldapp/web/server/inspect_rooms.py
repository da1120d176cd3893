"""The pages before the next use: the inspection round, its course and paper, and readiness."""

from fieldapp.web.inspection import course as inspect_course
from fieldapp.web.inspection import inspect
from fieldapp.web.readiness import readiness

INSPECT_ROOMS = (inspect.bp, inspect_course.bp, readiness.bp)
"""Blueprints in the order in which people meet them."""
