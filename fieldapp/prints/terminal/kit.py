"""What `raisebook make` says of a kit, in a few lines."""

from collections.abc import Iterator

from fieldapp.base.units import m_from_mm
from fieldapp.kit.cutting import CuttingPlan
from fieldapp.kit.kit import Kit
from fieldapp.kit.make import Made
from fieldapp.kit.parts import cut_length_mm

NEW_LABELS = "labels-new.pdf"
"""Labels of the parts that the last `make` added to a labelled kit."""


def summary(made: Made, cutting: CuttingPlan) -> tuple[str, ...]:
    """The lines, most asked-for first."""
    kit = made.kit
    return (*_size(kit), *_stock(kit, cutting), *_news(made))


def _size(kit: Kit) -> Iterator[str]:
    """Hubs, struts, classes, size and mass."""
    frame = kit.frame
    spare_hubs = sum(part.is_spare and part.kind == "hub" for part in kit.parts)
    spare_struts = sum(part.is_spare and part.kind == "strut" for part in kit.parts)
    kinds, lengths = len(frame.hub_classes), len(frame.strut_classes)
    yield (f"{kit.design.frame.name}: {len(frame.hubs)} hubs in {kinds} class{'es' if kinds > 1 else ''}, "
           f"{len(frame.struts)} struts in {lengths} length{'s' if lengths > 1 else ''}")
    yield f"Spares: {spare_hubs} hubs, {spare_struts} struts"
    yield (f"Height {m_from_mm(frame.height_mm):.2f} m, radius {m_from_mm(frame.radius_mm):.2f} m, "
           f"mass {kit.mass_kg:.1f} kg")
    cuts = [f"{cut_length_mm(kind.centre_length_mm, kit.design):.1f} mm ({kind.letter})"
            for kind in frame.strut_classes]
    yield (f"Struts are cut {' to '.join(dict.fromkeys((cuts[0], cuts[-1])))}; "
           f"two hubs take {2 * kit.design.hub.reach_mm:g} mm of each")


def _stock(kit: Kit, cutting: CuttingPlan) -> Iterator[str]:
    """Bars to buy, and how good that number is."""
    good = "no plan needs fewer" if cutting.bars == cutting.least_bars else f"at least {cutting.least_bars} are needed"
    yield f"Stock: {cutting.bars} bars of {kit.design.strut.stock_mm:g} mm ({good}), spares included"


def _news(made: Made) -> Iterator[str]:
    """What happened to a kit that carried labels already."""
    if not made.was_labelled:
        return
    count = len(made.added)
    if count:
        named = f"{count} parts added, {made.added[0].id} …" if count > 1 else f"{made.added[0].id} added"
        yield f"{named}; the labels for what is new: paper/{NEW_LABELS}"
    yield "The labelled parts are as they were."
    described = [text for text in made.answers if text.startswith(("frame.", "strut.", "hub."))]
    if described:
        yield f"Taken as a better description of the same parts: {'; '.join(described)}"
    if any(text.startswith("site.address") for text in made.answers):
        yield ("Labels printed before say the old site address: reprint them, or scan them inside the site's page, "
               "which looks only at the ID")
