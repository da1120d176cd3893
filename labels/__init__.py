"""A leaf: symbols, sheet stocks, drawings and their PDF and SVG output. Knows no frame and no kit."""

PAPERS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height of the papers [mm].
Source: ISO 216; ANSI/ASME Y14.1, size A (from memory). Test: tests/reference/test_published_values.py"""

SLACK_MM = 0.05
"""Rounding that a sum of millimetres in a design file may carry [mm].
Source: our choice. Test: tests/labels/test_stock.py, tests/frame/test_design.py"""


class LabelError(ValueError):
    """A stock, a start position or a text that cannot be printed; the message says what is allowed."""


class StartError(LabelError):
    """A sheet that is to begin at a position that it does not have."""

    def __init__(self, last: int, given: int) -> None:
        super().__init__(f"start must be 1 to {last} (the labels of one sheet), got {given}")
        self.last, self.given = last, given
