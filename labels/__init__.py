"""A leaf: symbols, sheet stocks, drawings and their PDF and SVG output. Knows no frame and no kit."""
