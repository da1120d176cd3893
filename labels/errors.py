"""The one error of this room."""


class LabelError(ValueError):
    """A stock, a start position or a text that cannot be printed; the message says what is allowed."""
