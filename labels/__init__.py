"""A leaf: symbols, sheet stocks, drawings and their PDF and SVG output. Knows no frame and no kit."""


class LabelError(ValueError):
    """A stock, a start position or a text that cannot be printed; the message says what is allowed."""


class StartError(LabelError):
    """A sheet that is to begin at a position that it does not have."""

    def __init__(self, last: int, given: int) -> None:
        super().__init__(f"start must be 1 to {last} (the labels of one sheet), got {given}")
        self.last, self.given = last, given
