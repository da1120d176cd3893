"""The kinds of joint by name: all that differs between them stands in one file each, for every room above.

A new kind is one file, one line here and one test. Whoever needs to know asks the record of a design's
joint, `design.hub.held_by`, and never for a kind by its name.
"""

from fieldapp.base.joints.bolted_end import BOLTED_END
from fieldapp.base.joints.flat_arm import FLAT_ARM
from fieldapp.base.joints.joint import Joint
from fieldapp.base.joints.spring import SPRING

JOINTS: dict[str, Joint] = {joint.kind: joint for joint in (
    FLAT_ARM,
    BOLTED_END,
    SPRING,
)}
"""In the order in which the design file offers them."""
