"""The day on site: what comes next, the course of the raise, the ways, the bundles, what the whole frame forgives."""

from fieldapp.web.raising import bundles, course, day, feet, forgives, lifts, start, steps

PAGES = (start.bp, course.bp, course.chief, bundles.bp, day.bp, feet.bp, forgives.bp, lifts.bp, steps.bp)
