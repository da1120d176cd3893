"""Every form of label by its name."""

from typing import Protocol

from labels.face import compose_face
from labels.hole import compose_tag
from labels.label import Form, Label
from labels.layout import compose
from labels.listing import compose_list
from labels.pieces import Composition
from labels.symbol import Level
from labels.wrap import compose_wrap


class Composer(Protocol):
    """Lays out one label of a size [mm]."""

    def __call__(self, label: Label, size_mm: tuple[float, float], *, level: Level = "M",
                 printer_dpi: int | None = None) -> Composition: ...


COMPOSERS: dict[Form, Composer] = {
    "plain": compose, "wrap": compose_wrap, "round": compose_face, "hexagon": compose_face, "tag": compose_tag,
    "list": compose_list,
}
