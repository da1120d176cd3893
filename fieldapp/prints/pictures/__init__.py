"""The pictures that do the talking, for page, booklet and label alike.

`frame_view` turns the frame so that a place faces you, `plan_view` says from which side to reach it, `hub_dial`
says which arm, `ring_chart` how far the raise has come. All are plain drawings: `labels.svg.svg` and
`labels.paint.paint` put them on a page.
"""

from fieldapp.frame.frame import Frame
from fieldapp.prints.pictures.camera import side_deg
from fieldapp.prints.pictures.charts import ring_chart
from fieldapp.prints.pictures.frame_view import frame_view
from fieldapp.prints.pictures.hub_dial import hub_dial
from fieldapp.prints.pictures.plan_view import plan_view
from fieldapp.prints.pictures.skeleton import Showing
from labels.drawing import Drawing

__all__ = ["Showing", "dials", "frame_view", "hub_dial", "plan_view", "ring_chart", "side_deg"]


def dials(frame: Frame, place: str, standing: frozenset[str]) -> tuple[Drawing, ...]:
    """The dials that belong to a place: a hub's own, or those of both ends of a strut with its arm filled."""
    if place in frame.hub_index:
        return (hub_dial(frame, place, standing=standing),)
    strut = frame.strut(place)
    return tuple(hub_dial(frame, end.hub, arm=end.arm, standing=standing) for end in (strut.end_1, strut.end_2))
