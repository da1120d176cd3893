"""Whether a hub class is drawn as the sheet to cut out, or as directions only."""

from fieldapp.frame.design import Design
from fieldapp.kit.hub_sizes import ArmPattern, HubSizes, hub_sizes, run_together

DIAL = HubSizes(24.0, 0.0, 80.0, 25.0, 30.0, 6.0, 0.0)
"""Sizes of a drawing that shows directions only."""


def has_outline(arms: ArmPattern, design: Design) -> bool:
    """Whether the hub is a flat sheet of arms that can be cut out."""
    return design.hub.held_by.workshop.sheet and not run_together(arms, hub_sizes(design))


def drawn_sizes(arms: ArmPattern, design: Design) -> HubSizes:
    """Sizes of the hub, or those of a dial if only directions are drawn."""
    return hub_sizes(design) if has_outline(arms, design) else DIAL
