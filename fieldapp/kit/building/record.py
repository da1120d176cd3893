"""A design with the geometry that its checks share, and what a check finds."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from fieldapp.base.joints.joint import Fit
from fieldapp.base.said import Row, Said
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.frame.struts import table_of
from fieldapp.kit.hub_sizes import HubSizes, hub_sizes
from fieldapp.kit.parts import cut_length_mm

STEP_MM = 0.5
"""Answers that would fit are offered in steps of this, on the side that fits [mm]. Source: our choice.
Test: tests/kit/test_building.py"""


@dataclass(frozen=True, slots=True)
class Hindrance:
    """One thing that stands against putting the frame together."""

    name: Literal["bore", "loose", "slot", "depth", "plate", "touch", "ends", "hole", "tips", "stock", "rod",
                  "strut classes", "hub classes", "mass"]
    """Of what was looked at."""
    refuses: bool
    """True if it cannot be put together so; False if it can with work."""
    said: Said


@dataclass(frozen=True)
class Building:
    """A frame to be built. Not slotted: what is asked for is kept."""

    design: Design
    """Its [strut] is the section that is looked at."""
    frame: Frame
    """With the struts of that section, and the hubs that hold such."""
    section: str = ""
    shortest_mm: float = math.inf
    """Centre length of the shortest strut of the whole frame, if another section has it [mm]."""

    @cached_property
    def sizes(self) -> HubSizes:
        """Of a flat hub."""
        return hub_sizes(self.design)

    @property
    def fit(self) -> Fit:
        """What goes into what."""
        return self.design.hub.held_by.fit

    @property
    def plugs(self) -> bool:
        """Whether an arm goes into the strut."""
        return self.fit.share_inside > 0

    @property
    def cuts_mm(self) -> tuple[float, float]:
        """Of the shortest and the longest struts."""
        first, last = (cut_length_mm(self.frame.strut_classes[at].centre_length_mm, self.design) for at in (0, -1))
        return first, last

    def answers(self, **found: float | None) -> Row:
        """Answers in a row; `strut__key` stands in the table of this section."""
        return answers(**{key.replace("strut__", f"{table_of(self.section)}__", 1): value
                          for key, value in found.items()})

    def with_hub(self, **answers: float) -> HubSizes:
        """Sizes of a hub with other answers in [hub]."""
        return hub_sizes(self.design.model_copy(update={"hub": self.design.hub.model_copy(update=answers)}))


def least(fits: Callable[[float], bool], low: float, high: float) -> float | None:
    """The least value above `low` that fits, in steps of half a millimetre; None if there is none up to `high`.

    Notes
    -----
    What fits at a value fits at every larger one.
    """
    if high <= low or not fits(high):
        return None
    first, last = math.floor(low / STEP_MM), math.ceil(high / STEP_MM)
    while last - first > 1:
        middle = (first + last) // 2
        first, last = (first, middle) if fits(middle * STEP_MM) else (middle, last)
    return last * STEP_MM


def most(fits: Callable[[float], bool], low: float, high: float) -> float | None:
    """The largest value below `high` that fits; None if there is none above `low`. See `least`."""
    found = least(lambda value: fits(-value), -high, -low)
    return None if found is None else -found


def answers(**found: float | None) -> Row:
    """Answers in a row, as they would be written into the design; `section__key`."""
    return Row(tuple(f"{key.replace('__', '.')} = {value:g}" for key, value in found.items() if value is not None),
               between="; ")
