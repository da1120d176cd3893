"""The lines that this program offers for a checklist, as what is said: name and how to look.

A list keeps its lines as text, since its user edits them. A line that is word for word one of these is ours and is told
in the reader's language; any other is its writer's and stays as it is.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from fieldapp.base.joints import JOINTS
from fieldapp.base.said import Said, Value, say
from fieldapp.kit.checklist import Check


@dataclass(frozen=True, slots=True)
class Offered:
    """A line on offer."""

    item: Said
    look: Said

    @property
    def texts(self) -> tuple[str, str]:
        """Name and look as a list keeps them."""
        return self.item.template, self.look.template


LABEL = Offered(say("label readable"), say(
    "Scan it; then read the ID aloud at arm's length. Torn, wet or faded: fail."))
STRAIGHT = Offered(say("straight and whole"), say(
    "Look along it from one end and turn it once round: no kink, no bend that you see at once, no break."))
SPLITS = Offered(say("splits"), say(
    "Turn it under a light: no crack across the grain, no split that a fingernail goes into."))
SOFT_SPOTS = Offered(say("soft spots"), say(
    "Press with the thumb all along, hardest at the ends: nowhere soft, no layer that lifts."))
SEAM = Offered(say("splits"), say("Look along the spiral and at both ends: no open seam."))
CRACKS_AND_RUST = Offered(say("cracks and rust"), say(
    "Look at bends, welds and flattened ends: no crack, no rust that flakes."))
DENTS = Offered(say("dents"), say("Feel all along: no dent deeper than 2 mm."))
LENGTH = Offered(say("length"), say("Tape from end to end."))
END_SWELLING = Offered(say("end swelling"), say(
    "Calliper across the end at its widest: how much thicker is it than struts of its class are made? Wet ends swell."))
END_DIAMETER = Offered(say("end diameter"), say("Calliper across the end at its widest; wet ends swell."))
ARM_CRACKS = Offered(say("cracks"), say("Look at every bend, weld and hole of each arm: no crack."))
BENT_ARMS = Offered(say("bent arms"), say("Lay it on a table beside a good one: no arm points elsewhere."))
GRAIN_CRACKS = Offered(say("cracks across the grain"), say(
    "Bend each arm a little with two fingers and look at both faces and edges: no line opens."))
LAYERS = Offered(say("layers"), say("Look at the edges of each arm: no layer lifts, nothing soft or swollen."))
LOOSENESS = Offered(say("looseness"), say(
    "Take each arm between thumb and finger and rock it: nothing moves, nothing creaks."))
GLUE_LINES = Offered(say("glue lines"), say(
    "Look round the whole joint between the layers: a sheet of paper goes in nowhere."))
BOLT_HOLES = Offered(say("bolt holes"), say("Round, nothing torn towards the edge; no holes: pass."))
MARKS = Offered(say("marks"), say(
    "The outside face and, but for spares, arm numbers and the arrow for up can be read."))
MARKS_BEFORE = Offered(say("marks"), say(
    "Arm numbers, outside face and (but for spares) the arrow for up can be read."))
"""As lists say it that were written before."""
MOISTURE = Offered(say("moisture"), say("Press the meter's pins in halfway along; on a hub, at the middle."))

_OF_JOINTS = tuple(Offered(Said(line.item), Said(line.look)) for joint in JOINTS.values()
                   for line in (*joint.inspection.ends, *joint.inspection.hub))
_OFFERED: Mapping[tuple[str, str], Offered] = {line.texts: line for line in (
    *_OF_JOINTS,
    LABEL, STRAIGHT, SPLITS, SOFT_SPOTS, SEAM, CRACKS_AND_RUST, DENTS, LENGTH, END_DIAMETER, END_SWELLING,
    ARM_CRACKS, BENT_ARMS, GRAIN_CRACKS, LAYERS, LOOSENESS, GLUE_LINES, BOLT_HOLES, MARKS, MARKS_BEFORE,
    MOISTURE)}

PRACTICE = say("common practice, no source")
SERVICE_CLASSES = (say("EN 1995-1-1 2.3.1.3, service class 1"),
                   say("EN 1995-1-1 2.3.1.3, service class 2"))
"""Where limits of moisture come from, by class."""

_SOURCES: Mapping[str, Said] = {said.template: said for said in (PRACTICE, *SERVICE_CLASSES)}


def item_said(check: Check) -> Value:
    """What a line is called, for people to read."""
    ours = _OFFERED.get((check.item, check.look))
    return check.item if ours is None else ours.item


def look_said(check: Check) -> Value:
    """How to look, for people to read."""
    ours = _OFFERED.get((check.item, check.look))
    return check.look if ours is None else ours.look


def source_said(check: Check) -> Value:
    """Where a line and its limits come from, for people to read."""
    return _SOURCES.get(check.source, check.source) if (check.item, check.look) in _OFFERED else check.source
