"""Names of the kinds of labels only, so that the command line starts without the PDF library."""

from typing import Literal, get_args

Kind = Literal["part", "wrap", "hub-round", "hub-hex", "tag", "box", "bundle", "bag"]
KINDS: tuple[Kind, ...] = get_args(Kind)
