"""Labels of parts, boxes and bundles, on sheets and rolls."""
