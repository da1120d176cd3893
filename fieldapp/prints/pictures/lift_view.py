"""A lift as people see it who stand round it: the piece where it is now, and faint where it goes."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from fieldapp.base.words import _
from fieldapp.frame.frame import Frame
from fieldapp.plan.hand_lifts import HandLift
from fieldapp.plan.plan import Plan
from fieldapp.prints.pictures.camera import camera_for
from fieldapp.prints.pictures.frame_view import Scene, labels
from fieldapp.prints.pictures.skeleton import Layout, Showing, nearness, skeleton
from labels.drawing import Drawing, Line

_PATH_MM: Final = 0.3


def lift_view(frame: Frame, plan: Plan, lift: HandLift, *, up: bool,
              size_mm: tuple[float, float] = (100.0, 78.0)) -> Drawing:
    """A lift, or the lowering that mirrors it, before anybody moves; a first carrier is turned toward the viewer.

    Parameters
    ----------
    plan
        Says what stands beside the piece.
    up
        True for the lift, False for the lowering.
    size_mm
        Width and height of the picture. [mm]
    """
    low_mm = {hub: lift.below_mm(hub) for hub in lift.heights_mm}
    now_mm, then_mm = (low_mm, lift.heights_mm) if up else (lift.heights_mm, low_mm)
    scene = Scene(frame, camera_for(frame, lift.hubs[0]), size_mm)
    standing = frozenset(place for step in plan.steps[:lift.step - 1] for place in step.places)
    places = frozenset((*frame.hub_index, *frame.strut_index))
    now = _at_heights(scene, Showing(standing, hold=frozenset(lift.hubs), left_out=places - standing), now_mm)
    goes = {strut.name for strut in frame.struts if {strut.end_1.hub, strut.end_2.hub} & set(now_mm)} & standing
    then = _at_heights(scene, Showing(left_out=places - goes), then_mm)
    paths = (Line(now.point(hub), then.point(hub), "later", _PATH_MM, dashed=True) for hub in lift.hubs)
    items = (*scene.ground(), *skeleton(then), *paths, *skeleton(now), *scene.person(), *labels(now, scene))
    return Drawing(*size_mm, items, _("The piece where it is now, and faint where it goes"))


def _at_heights(scene: Scene, showing: Showing, heights_mm: Mapping[str, float]) -> Layout:
    """Where everything lies on the paper with some hubs at other heights."""
    frame, nodes_mm = scene.frame, scene.frame.nodes_mm.copy()
    for hub, height_mm in heights_mm.items():
        nodes_mm[frame.hub_index[hub], 2] = height_mm
    at_mm = scene.paper(nodes_mm)
    moved = replace(frame, nodes_mm=nodes_mm)
    return Layout(frame, showing, at_mm, at_mm[frame.ends], nearness(moved, scene.camera.eye_mm()))
