"""All pages as one application, and the servers that carry it."""
