"""The shape as designed. Here from a design to the named frame: the one way in to this room's geometry."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from fieldapp.frame.arms import ArmTable, find_arms, outward_directions
from fieldapp.frame.classes import StrutKind, hub_classes, strut_classes
from fieldapp.frame.cuts import cut_sphere, rim_row
from fieldapp.frame.design import Design, FrameSection
from fieldapp.frame.dome import subdivided_sphere
from fieldapp.frame.frame import (
    DRAWN_WORDS,
    Arm,
    FloatArray,
    Frame,
    HubClass,
    HubPlace,
    IntArray,
    StrutClass,
    StrutEnd,
    StrutPlace,
)
from fieldapp.frame.given.plates import refuse_hidden_arms
from fieldapp.frame.given.record import GivenLines
from fieldapp.frame.given.standing import Answers, standing
from fieldapp.frame.level import level_rim
from fieldapp.frame.numbering import Numbered, names, number_places
from fieldapp.frame.orient import check_reach, radius_mm, stand_on_ground, turn_to_front
from fieldapp.frame.shape import Shape, strut_lengths
from fieldapp.frame.vault import vault


def build_frame(design: Design) -> Frame:
    """The whole frame that a design asks for.

    Parameters
    ----------
    design : Design
        Its [frame] section gives the shape and one size, its [hub] section the reach.

    Raises
    ------
    DesignError
        A cut that the frequency has not, a rim that cannot be levelled, a reach longer than the
        shortest strut allows, not exactly one size.

    Examples
    --------
    >>> from fieldapp.frame.design import FrameSection
    >>> frame = build_frame(Design(frame=FrameSection(frequency=4, cut="1/2", diameter_m=7.2)))
    >>> len(frame.hubs), len(frame.struts), len(frame.strut_classes), round(frame.height_mm / 1000, 2)
    (91, 250, 6, 3.6)
    """
    if design.given is not None:
        return _drawn_frame(design.given, design)
    if design.frame.shape == "barrel vault":
        return _vault_frame(design)
    shape = unit_shape(design.frame)
    return named_frame(shape, design, radius_mm(design, shape))


def _drawn_frame(given: GivenLines, design: Design) -> Frame:
    """A frame from a file, with places, arms and classes by the same rules."""
    answers = design.drawing
    found = standing(given, Answers(answers.seen_from, answers.feet, answers.feet_within_mm, answers.front,
                                  answers.front_deg))
    frame = _named(found.shape, lambda order: found.outward[order], design, found.middle_mm, found.radius_mm,
                   kinds=_kinds(given, found.shape))
    frame = replace(frame, words=DRAWN_WORDS, drawn=True, seen_from=answers.seen_from)
    if not design.hub.held_by.every_way:
        refuse_hidden_arms(frame)
    return frame


def _kinds(given: GivenLines, shape: Shape) -> dict[tuple[int, int], StrutKind]:
    """Section and class of each line by its two points, lower number first; empty where all lines are alike."""
    if not given.sections and not given.classes:
        return {}
    alike = ("",) * len(given.lines)
    kinds = zip(given.sections or alike, given.classes or alike, strict=True)
    return {(a, b): kind for (a, b), kind in zip(np.sort(shape.struts, axis=1).tolist(), kinds, strict=True)}


def _vault_frame(design: Design) -> Frame:
    """A barrel vault; like any frame that is not round it has levels and no crown."""
    shape, outward = vault(design.vault)
    middle = np.array([0.0, 0.0, float(shape.nodes[:, 2].max()) / 2])
    radius = float(np.linalg.norm(shape.nodes - middle, axis=1).max())
    frame = _named(shape, lambda order: outward[order], design, (0.0, 0.0, float(middle[2])), radius)
    return replace(frame, words=DRAWN_WORDS, drawn=True)


def unit_shape(asked: FrameSection) -> Shape:
    """The shape without size and names: subdivided and projected, cut, level, turned to the front mark.

    Raises
    ------
    DesignError
        A cut that the frequency has not, a rim that cannot be levelled.
    """
    rim = rim_row(asked.frequency, asked.cut)
    shape = cut_sphere(subdivided_sphere(asked.frequency, asked.subdivision), rim)
    if asked.level_base:
        shape = level_rim(shape)
    return turn_to_front(shape)


def named_frame(shape: Shape, design: Design, radius: float) -> Frame:
    """A turned unit shape stood on the ground in its size, with places, arms and classes.

    Raises
    ------
    DesignError
        A reach longer than the shortest strut allows.
    """
    on_ground, centre_z_mm = stand_on_ground(shape, radius)
    return _named(on_ground, lambda order: outward_directions(on_ground.nodes[order], centre_z_mm), design,
                  (0.0, 0.0, centre_z_mm), radius)


def _named(shape: Shape, outsides: Callable[[IntArray], FloatArray], design: Design,
           middle_mm: tuple[float, float, float], radius: float, *,
           kinds: Mapping[tuple[int, int], StrutKind] | None = None) -> Frame:
    """Places, arms and classes of a standing shape; `outsides` gives the outside of its hubs in an order."""
    places = number_places(shape)
    outward = outsides(places.order)
    arms = find_arms(places.shape, outward)
    lengths_mm = strut_lengths(places.shape.nodes, places.shape.struts).round(6)
    pairs = np.sort(places.order[places.shape.struts], axis=1).tolist()
    struts, strut_class = strut_classes(lengths_mm, design.frame.tolerance_mm,
                                        [kinds[a, b] for a, b in pairs] if kinds else ())
    check_reach(design.hub.reach_mm, struts)
    hubs, hub_class = hub_classes(arms, len(outward), design.frame.tolerance_deg)
    labelled = _Labelled(places, arms, lengths_mm.tolist(), struts, strut_class, hubs, hub_class)
    hub_places, strut_places = labelled.hub_places(), labelled.strut_places()
    for array in (places.shape.nodes, outward, places.shape.struts, places.shape.faces):
        array.setflags(write=False)
    return Frame(hub_places, strut_places, hubs, struts, places.shape.nodes, outward, places.shape.struts,
                 places.shape.faces, middle_mm, radius,
                 {hub.name: i for i, hub in enumerate(hub_places)}, {s.name: i for i, s in enumerate(strut_places)})


@dataclass(frozen=True, slots=True)
class _Labelled:
    """All that the records of hubs and struts are written from."""

    places: Numbered
    arms: ArmTable
    lengths_mm: list[float]
    strut_classes: tuple[StrutClass, ...]
    strut_class: IntArray
    hub_classes: tuple[HubClass, ...]
    hub_class: list[str]

    def hub_names(self) -> list[str]:
        """Names of all hub places."""
        return names("H", len(self.places.level), 2)

    def strut_names(self) -> list[str]:
        """Names of all strut places."""
        return names("S", len(self.lengths_mm), 3)

    def hub_places(self) -> tuple[HubPlace, ...]:
        """The records of all hubs in order."""
        arms, strut_names = self.arms, self.strut_names()
        records = [Arm(number, strut_names[strut], end, azimuth, dip) for number, strut, end, azimuth, dip in zip(
            arms.number.tolist(), arms.strut.tolist(), arms.end.tolist(),
            arms.azimuth_deg.tolist(), arms.dip_deg.tolist(), strict=True)]
        starts = np.searchsorted(arms.hub, np.arange(len(self.places.level) + 1)).tolist()
        levels, numbers = self.places.level.tolist(), self.places.number_in_level.tolist()
        ground = self.places.shape.ground.tolist()
        return tuple(HubPlace(name, levels[i], numbers[i], self.hub_class[i],
                              tuple(records[starts[i]:starts[i + 1]]), ground[i])
                     for i, name in enumerate(self.hub_names()))

    def strut_places(self) -> tuple[StrutPlace, ...]:
        """The records of all struts in order."""
        hub_names = self.hub_names()
        arm_at = np.empty((len(self.lengths_mm), 2), dtype=np.int64)
        arm_at[self.arms.strut, self.arms.end - 1] = self.arms.number
        letters = [self.strut_classes[i].letter for i in self.strut_class]
        ends = [[StrutEnd(hub_names[hub], arm) for hub, arm in zip(hubs, at, strict=True)]
                for hubs, at in zip(self.places.shape.struts.T.tolist(), arm_at.T.tolist(), strict=True)]
        return tuple(map(StrutPlace, self.strut_names(), *ends, letters, self.lengths_mm))
