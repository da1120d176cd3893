"""The radius that the design's one size asks for."""

from fieldapp.base.errors import DesignError
from fieldapp.base.units import mm_from_m
from fieldapp.frame.design import Design
from fieldapp.frame.frame import StrutClass
from fieldapp.frame.shape import Shape, strut_lengths


def radius_mm(design: Design, shape: Shape) -> float:
    """Radius of the sphere on which the hub centres lie [mm].

    Parameters
    ----------
    design : Design
        Gives one of diameter_m (of the sphere), height_m (lowest to highest hub centre) and
        longest_strut_m (the longest cut length: the centre distance less the reach at both ends).
    shape : Shape
        The finished shape with unit radius.

    Raises
    ------
    DesignError
        If not exactly one of the three is given.
    """
    frame = design.frame
    sizes = {"diameter_m": frame.diameter_m, "height_m": frame.height_m, "longest_strut_m": frame.longest_strut_m}
    given = {name: size for name, size in sizes.items() if size is not None}
    if len(given) != 1:
        raise DesignError(f"[frame] gives {' and '.join(given) or 'no size'}; it takes exactly one of diameter_m, "
                          f"height_m and longest_strut_m; keep one of them")
    [(name, size_m)] = given.items()
    if name == "diameter_m":
        return mm_from_m(size_m) / 2
    if name == "height_m":
        return mm_from_m(size_m) / float(shape.nodes[:, 2].max() - shape.nodes[:, 2].min())
    longest = float(strut_lengths(shape.nodes, shape.struts).max())
    return (mm_from_m(size_m) + 2 * design.hub.reach_mm) / longest


def check_reach(reach_mm: float, classes: tuple[StrutClass, ...]) -> None:
    """DesignError if the hubs of the shortest struts would meet before a strut begins."""
    shortest = classes[0]
    room_mm = shortest.centre_length_mm / 2
    if reach_mm >= room_mm:
        raise DesignError(f"hub.reach_mm is {reach_mm:g}; the shortest struts (class {shortest.letter}) measure "
                          f"{shortest.centre_length_mm:.1f} mm from hub centre to hub centre, so it must be below "
                          f"{room_mm:.1f}; make the reach shorter or the frame larger")
