"""The day on site: what comes next, the course of the raise, the ways, the bundles."""
