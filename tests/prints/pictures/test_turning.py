"""The frame as numbers for the picture that can be turned: the same places and states as the still one."""

import json

import numpy as np

from fieldapp.frame import build_frame
from fieldapp.frame.design import Design, FrameSection
from fieldapp.prints.pictures import Showing
from fieldapp.prints.pictures.turning import turning_frame, turning_marks

FRAME = build_frame(Design(frame=FrameSection(frequency=2, cut="1/2", diameter_m=4.0)))


def test_numbers_of_the_frame_are_those_of_its_hubs_and_struts():
    said = json.loads(turning_frame(FRAME))
    at = np.array(said["at"]).reshape(-1, 3)
    ends = np.array(said["ends"]).reshape(-1, 2)
    assert (said["hubs"], said["struts"]) == ([h.name for h in FRAME.hubs], [s.name for s in FRAME.struts])
    lengths = np.linalg.norm(at[ends[:, 0]] - at[ends[:, 1]], axis=1)
    np.testing.assert_allclose(lengths, [s.centre_length_mm for s in FRAME.struts], atol=2.0)   # whole millimetres


def test_each_place_has_the_letter_of_its_most_urgent_state():
    hub, broken, fresh, gone = FRAME.hubs[0].name, FRAME.struts[0].name, FRAME.struts[1].name, FRAME.struts[2].name
    marks = turning_marks(FRAME, Showing(standing=frozenset({hub, broken, fresh}), damaged=frozenset({broken}),
                                         new=frozenset({fresh}), left_out=frozenset({gone})))
    struts = marks[len(FRAME.hubs):]
    assert (marks[0], struts[:4], len(marks)) == ("s", "dnxl", len(FRAME.hubs) + len(FRAME.struts))
