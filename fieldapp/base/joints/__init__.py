"""The kinds of joint by name: all that differs between them stands in one file each, for every room above.

A new kind is one file, one line here and one test. Whoever needs to know asks the record of a design's
joint, `design.hub.held_by`, and never for a kind by its name.
"""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Literal

from fieldapp.base.joints.ball_node import BALL_NODE
from fieldapp.base.joints.bolted_end import BOLTED_END
from fieldapp.base.joints.flat_arm import FLAT_ARM
from fieldapp.base.joints.joint import Joint
from fieldapp.base.joints.spring import SPRING

JOINTS: dict[str, Joint] = {joint.kind: joint for joint in (
    FLAT_ARM,
    BOLTED_END,
    SPRING,
    BALL_NODE,
)}
"""In the order in which the design file offers them."""

if TYPE_CHECKING:
    JointKind = str
else:
    JointKind = Literal[tuple(JOINTS)]


def _or(words: Iterable[str], before: str = " or ") -> str:
    """The words in a row, `before` the last one."""
    *most, last = words
    return f"{', '.join(most)}{before}{last}" if most else last


HOW_HELD = _or((joint.question for joint in JOINTS.values()), ", or ")
"""The kinds, as the design file asks for one of them."""
WITH_SPRINGS = _or(f"a {kind}" for kind in reversed(JOINTS) if JOINTS[kind].member.springs)
WITHOUT_SPRINGS = _or(f"a {kind}" for kind in JOINTS if not JOINTS[kind].member.springs)
