"""From where hubs are looked at: what dials, sheets and pages say of the marked face and the arrow."""

from dataclasses import dataclass

from fieldapp.base.words import marked
from fieldapp.frame.frame import Frame


@dataclass(frozen=True, slots=True)
class Facing:
    """English as written, to be translated where it is said."""

    face: str
    """How the marked face looks, of a hub that was made for another place."""
    face_and_arrow: str
    out: str
    """The same in a row of a table."""
    label: str
    """On the label that sticks to the marked face."""
    seen: str
    """Beside a drawing."""
    heading: str
    """Over the large dial of the booklet."""
    turn: str
    """How to turn it so that it looks as drawn."""
    check: str
    """A line of a check list."""
    sheets: str
    """How to read the workshop's sheets."""
    toward: str
    """Under the picture of the frame turned toward the reader; gap place."""


_BY_SIDE = {
    "outside": Facing(
        marked("The marked face looks outward."),
        marked("The marked face looks outward, the arrow points up the frame."),
        marked("marked face out"), marked("outside face"), marked("seen from outside"),
        marked("The hub, seen from outside"),
        marked("Turn the marked face outward and its arrow up the frame: then the arms point as drawn."),
        marked("Every hub: marked face outward, its arrow up the frame"),
        marked("All hubs are drawn as seen from outside, up at the top. Arms are numbered clockwise from up; the "
               "letter on an arm is the class of its strut. Directions count clockwise from up."),
        marked("From outside, {place} toward you")),
    "above": Facing(
        marked("The marked face looks straight up."),
        marked("The marked face looks straight up, the arrow points away from the front mark."),
        marked("marked face up"), marked("upper face"), marked("seen from above"), marked("The hub, seen from above"),
        marked("Turn the marked face straight up and its arrow away from the front mark: then the arms point as "
               "drawn."),
        marked("Every hub: marked face straight up, its arrow away from the front mark"),
        marked("All hubs are drawn as seen from above, the front mark below. Arms are numbered clockwise from the top "
               "of the drawing; the letter on an arm is the class of its strut. Directions count clockwise from "
               "there."),
        marked("{place} toward you")),
    "front": Facing(
        marked("The marked face looks toward the side of the front mark."),
        marked("The marked face looks toward the side of the front mark, the arrow points straight up."),
        marked("marked face to the front"), marked("front face"), marked("seen from the front"),
        marked("The hub, seen from the front"),
        marked("Turn the marked face toward the side of the front mark and its arrow straight up: then the arms point "
               "as drawn."),
        marked("Every hub: marked face toward the side of the front mark, its arrow straight up"),
        marked("All hubs are drawn as seen from the front, up at the top. Arms are numbered clockwise from up; the "
               "letter on an arm is the class of its strut. Directions count clockwise from up."),
        marked("{place} toward you")),
}


def facing(frame: Frame) -> Facing:
    """The words of the side from which the hubs of a frame are looked at."""
    return _BY_SIDE[frame.seen_from]
