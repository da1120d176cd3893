"""[drawing]: how the file of a frame that was drawn elsewhere is to be read."""

from typing import Literal

from fieldapp.frame.given.record import PointName
from fieldapp.frame.questions import DesignSection, ask


class DrawingSection(DesignSection):
    """[drawing]: how the file of a frame that was drawn elsewhere is to be read."""

    unit: Literal["mm", "cm", "m", "in", "ft"] | None = ask(
        None, "Only for a frame from a file. In which unit was it drawn?", "Ask whoever drew it.", example="m")
    up: Literal["x", "y", "z", "-x", "-y", "-z"] | None = ask(
        None, "Which axis of the file points upward? With a minus: the one that points downward.",
        "Look at which axis reaches over the height.", example="z")
    weld_mm: float = ask(
        1.0, "Points closer than this are one hub [mm]", "Give a millimetre or two.", gt=0.0, le=500.0)
    feet: tuple[PointName, ...] = ask(
        (), "Which points stand on the ground? Without an answer: the lowest ones.",
        "Write the names of the file.", example=("A1", "A2", "A3"))
    feet_within_mm: float = ask(
        20.0, "How far above the lowest point may another foot lie? [mm]", "Measure the step between feet.",
        ge=0.0, le=5000.0)
    front: PointName | None = ask(
        None, "Which point stands at the front mark, from which everyone counts?", "Name a point on the ground.",
        example="A1")
    front_deg: float = ask(
        0.0, "… or in which direction the front mark lies, clockwise from above, from the file's -y [degrees]",
        "Give an angle.", ge=-360.0, le=360.0)
    seen_from: Literal["outside", "above", "front"] = ask(
        "outside", "From where are hubs looked at? A frame that has no outside (a space grid, a tower) is looked at "
        "from above or from the front.", "Keep \"outside\" for anything that could be covered by a skin.")
