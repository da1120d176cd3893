"""The pictures that do the talking, for page, booklet and label alike.

`frame_view` turns the frame so that a place faces you, `plan_view` says from which side to reach it, `hub_dial`
says which arm, `near_view` what stands beside it, `lift_view` where a piece goes that is lifted.
All are plain drawings: `labels.svg.svg` and `labels.pdf.paint_items` put them on a page.
"""

from fieldapp.prints.pictures.camera import side_deg
from fieldapp.prints.pictures.frame_view import frame_view
from fieldapp.prints.pictures.hub_dial import dial_spots, end_spots, hub_dial
from fieldapp.prints.pictures.lift_view import lift_view
from fieldapp.prints.pictures.near_view import near_showing, near_view
from fieldapp.prints.pictures.plan_view import plan_view
from fieldapp.prints.pictures.skeleton import Showing

__all__ = ["Showing", "dial_spots", "end_spots", "frame_view", "hub_dial", "lift_view", "near_showing", "near_view",
           "plan_view", "side_deg"]
