"""What every page is made from: kit, plan and state at one moment."""

from dataclasses import dataclass

from fieldapp.frame.frame import Frame
from fieldapp.kit.kit import Kit
from fieldapp.log.state import State
from fieldapp.plan.plan import Plan


@dataclass(frozen=True, slots=True)
class SiteMoment:
    """One moment of one site."""

    kit: Kit
    plan: Plan
    state: State

    @property
    def frame(self) -> Frame:
        """The frame as designed."""
        return self.kit.frame
