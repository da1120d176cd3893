"""A leaf: symbols, sheet stocks, drawings and their PDF and SVG output. Knows no frame and no kit."""


class LabelError(ValueError):
    """A stock, a start position or a text that cannot be printed; the message says what is allowed."""
