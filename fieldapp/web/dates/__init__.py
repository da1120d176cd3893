"""Where a kit is, and for which days it is given to which place."""

from fieldapp.web.dates import dates

PAGES = (dates.bp,)
