"""A frame from a file, before anything is labelled: what was welded, how large it is, and a picture with a person."""

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from fieldapp.base.errors import DesignError
from fieldapp.base.said import in_words
from fieldapp.base.units import m_from_mm
from fieldapp.frame import build_frame
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.sections import classes_drawn
from fieldapp.prints.pictures import Showing, frame_view
from labels.drawing import Drawing
from labels.svg import svg
from labels.terminal import terminal_lines

PICTURE = "frame.svg"
"""The picture beside the design file."""


def drawn_lines(design: Design, folder: Path) -> Iterator[str]:
    """What was read, and the picture; it is written into the folder as well.

    Raises
    ------
    DesignError
        As `build_frame`.
    """
    frame = _frame(design)
    picture = drawn_picture(frame)
    write_atomic(folder / PICTURE, svg(picture).encode())
    yield from _size(frame, design)
    yield from terminal_lines(picture)
    yield f"The same as {folder / PICTURE}. The person is 1.7 m tall; the arrowhead is the front mark."


def drawn_picture(frame: Frame) -> Drawing:
    """The whole frame as it will stand, seen from the front mark, with somebody 1.7 m tall beside it."""
    return frame_view(frame, Showing(standing=frozenset((*frame.hub_index, *frame.strut_index))))


def _frame(design: Design) -> Frame:
    """The frame; a refusal says how its file was read, since a wrong side up is refused with other reasons."""
    try:
        return build_frame(design)
    except DesignError as error:
        if design.given is None:
            raise
        wide, deep, high = np.ptp([point[1:] for point in design.given.points], axis=0)
        raise DesignError(f"{error}\n{design.frame.file} was read as {m_from_mm(wide):.2f} m wide, "
                          f"{m_from_mm(deep):.2f} m deep and {m_from_mm(high):.2f} m high. Is that not so, first "
                          f"correct drawing.unit and drawing.up.") from error


def _size(frame: Frame, design: Design) -> Iterator[str]:
    merged = () if design.given is None else design.given.merged
    yield from (f"Read: {text}" for text in merged)
    wide_mm, deep_mm, high_mm = np.ptp(frame.nodes_mm, axis=0)
    feet = [hub.name for hub in frame.hubs if hub.on_ground]
    lengths_mm = [strut.centre_length_mm for strut in frame.struts]
    yield (f"{design.frame.file}: {len(frame.hubs)} hubs, {len(frame.struts)} struts from {min(lengths_mm):.0f} to "
           f"{max(lengths_mm):.0f} mm between hub centres")
    yield (f"{m_from_mm(wide_mm):.2f} m wide at the front mark, {m_from_mm(deep_mm):.2f} m deep, "
           f"{m_from_mm(high_mm):.2f} m high; {len(feet)} hubs stand on the ground")
    for letters, name in classes_drawn(frame):
        yield f"Struts {', '.join(letters)}: {in_words(name)}"
