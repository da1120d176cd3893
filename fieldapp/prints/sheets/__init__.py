"""Labels on sheets. Here are only the names of their kinds, so that the command line starts without the PDF library."""

from typing import Literal, get_args

LabelKind = Literal["part", "wrap", "hub-round", "hub-hex", "tag", "box", "bundle", "bag"]
KINDS: tuple[LabelKind, ...] = get_args(LabelKind)
