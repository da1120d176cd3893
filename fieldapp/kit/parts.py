"""Parts made for places, spares, and parts made later; lengths and masses of each."""

import math
from collections import Counter
from collections.abc import Iterable, Sequence

from fieldapp.base.errors import DesignError, KitError
from fieldapp.base.materials import material
from fieldapp.base.units import kg_per_mm3
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.frame.struts import StrutSection
from fieldapp.kit.hub_outline import hub_mass_kg
from fieldapp.kit.kit import Kit, Part, PartKind
from fieldapp.kit.numbering import first_site_number, format_id, number_width, reads_as, site_numbers


def cut_length_mm(centre_length_mm: float, design: Design) -> float:
    """Length to saw: from hub centre to hub centre, less the reach at each end [mm]."""
    return centre_length_mm - 2.0 * design.hub.reach_mm


def section_area_mm2(strut: StrutSection) -> float:
    """Area of material in a cross-section of a strut [mm²]."""
    outer_area = math.pi / 4.0 * strut.outer_mm**2
    if strut.section == "rod" or strut.wall_mm is None:
        return outer_area
    return outer_area - math.pi / 4.0 * (strut.outer_mm - 2.0 * strut.wall_mm) ** 2


def strut_density_kg_m3(strut: StrutSection) -> float:
    """Density of a strut's material: the maker's own value, else that of the table [kg/m³]."""
    if strut.density_kg_m3 is not None:
        return strut.density_kg_m3
    try:
        return material(strut.material).density_kg_m3
    except DesignError as error:
        raise DesignError(f"strut.material: {error}") from None


def place_parts(design: Design, frame: Frame) -> tuple[Part, ...]:
    """One part for every place, numbered as the place; hubs first."""
    hubs = [_hub_part(design, frame, _number(h.name), part_class=h.hub_class, place=h.name) for h in frame.hubs]
    struts = [_strut_part(design, frame, _number(s.name), part_class=s.strut_class, place=s.name)
              for s in frame.struts]
    return (*hubs, *struts)


def spares_wanted(design: Design, frame: Frame) -> dict[tuple[PartKind, str], int]:
    """Spares that the design asks for, by kind and class: hub classes first, each in class order.

    The most common hub class is the first of those with the most places.
    """
    spares = design.spares
    wanted: dict[tuple[PartKind, str], int] = {}
    most_common = max(frame.hub_classes, key=lambda c: c.count).name
    for hub_class in frame.hub_classes:
        common = hub_class.name == most_common
        wanted["hub", hub_class.name] = spares.hubs_most_common if common else spares.hubs_each_other
    for strut_class in frame.strut_classes:
        wanted["strut", strut_class.letter] = spares.struts_each
    return wanted


def spare_parts(design: Design, frame: Frame, parts: Sequence[Part], *,
                taken: Sequence[Part] = ()) -> tuple[Part, ...]:
    """The spares still lacking beside `parts`, numbered on after the highest number of their kind.

    The numbers of parts in `taken` (made on site, beyond the design) are passed over.

    A class that has more spares than the design asks for keeps them: they exist and carry labels.
    """
    have = Counter((p.kind, p.part_class) for p in parts if p.is_spare)
    made: list[Part] = []
    for (kind, part_class), count in spares_wanted(design, frame).items():
        for _ in range(count - have[kind, part_class]):
            number = next_number(frame, kind, (*parts, *taken, *made))
            made.append(new_part(design, frame, kind, number=number, part_class=part_class))
    return tuple(made)


def next_part(kit: Kit, kind: PartKind, part_class: str, extra: Iterable[Part] = (), *, laptop: str = "") -> Part:
    """A part made later, for no place: the next free number of its kind, or of those that the laptop may give.

    Parameters
    ----------
    kit : Kit
        The kit as labelled.
    kind, part_class
        What was made; a class of the frame, e.g. "hub" "5L" or "strut" "C".
    extra : parts
        Parts made later already (from the log), whose numbers are taken.
    laptop : str
        ID of the laptop that gives the number; none where no other can give numbers at the same time.

    Raises
    ------
    KitError
        If the frame has no such class.
    """
    parts = (*kit.parts, *extra)
    number = _site_number(kit, kind, parts, laptop) if laptop else next_number(kit.frame, kind, parts)
    return new_part(kit.design, kit.frame, kind, number=number, part_class=part_class)


def new_part(design: Design, frame: Frame, kind: PartKind, *, number: int, part_class: str) -> Part:
    """A part for no place, with this number."""
    names = class_names(frame, kind)
    if part_class not in names:
        raise KitError(f"{kind} class {part_class} is not in this frame; it has {', '.join(names)}. "
                       f"Choose one of these.")
    build = _hub_part if kind == "hub" else _strut_part
    return build(design, frame, number, part_class=part_class, place=None)


def class_names(frame: Frame, kind: PartKind) -> tuple[str, ...]:
    """Names of the frame's hub or strut classes, in their order."""
    if kind == "hub":
        return tuple(hub_class.name for hub_class in frame.hub_classes)
    return tuple(strut_class.letter for strut_class in frame.strut_classes)


def next_number(frame: Frame, kind: PartKind, parts: Iterable[Part]) -> int:
    """The number after the highest of this kind, those that laptops gave on site passed over."""
    first = first_site_number(frame, kind)
    return max((p.number for p in parts if p.kind == kind and p.number < first), default=0) + 1


def _site_number(kit: Kit, kind: PartKind, parts: Iterable[Part], laptop: str) -> int:
    """The laptop's first number that no part has, and that nobody who leaves the check character out reads as one."""
    taken = {part.id for part in parts}
    prefix, width = kit.design.frame.prefix, number_width(kit.frame, kind)
    return next(number for number in site_numbers(kit.frame, kind, laptop)
                if not {format_id(prefix, kind, number, width=width),
                        reads_as(prefix, kind, number, width=width)} & taken)


def _number(place: str) -> int:
    """73 of `S073`."""
    return int(place[1:])


def _hub_part(design: Design, frame: Frame, number: int, *, part_class: str, place: str | None) -> Part:
    """A hub of its class."""
    part_id = format_id(design.frame.prefix, "hub", number, width=number_width(frame, "hub"))
    pattern = next(each for each in frame.hub_classes if each.name == part_class)
    return Part(part_id, "hub", number, part_class, place, hub_mass_kg(pattern, design), None)


def _strut_part(design: Design, frame: Frame, number: int, *, part_class: str, place: str | None) -> Part:
    """A strut of its class, as long as its class says."""
    of = frame.strut_class(part_class)
    strut, cut_mm = design.section(of.section), cut_length_mm(of.centre_length_mm, design)
    mass_kg = section_area_mm2(strut) * cut_mm * kg_per_mm3(strut_density_kg_m3(strut))
    part_id = format_id(design.frame.prefix, "strut", number, width=number_width(frame, "strut"))
    return Part(part_id, "strut", number, part_class, place, mass_kg, cut_mm)
