"""An inspection round on the phone."""

from fieldapp.web.inspection import course, inspect

PAGES = (inspect.bp, course.bp)
