"""Is the kit fit?"""

from fieldapp.web.readiness import ready

PAGES = (ready.bp,)
