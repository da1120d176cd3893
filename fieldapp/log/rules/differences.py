"""In what a part differs from the one a place needs, in words for the person holding it."""

from fieldapp.kit.kit import Kit, Part


def difference(kit: Kit, part: Part, needed: Part) -> str:
    """"35 mm too long", "mirror image of this hub", "class 4 where class 2 belongs"."""
    if part.cut_length_mm is not None and needed.cut_length_mm is not None:
        over_mm = part.cut_length_mm - needed.cut_length_mm
        return f"{abs(over_mm):.0f} mm too {'long' if over_mm > 0 else 'short'}"
    mirrors = {hub_class.name: hub_class.mirror for hub_class in kit.frame.hub_classes}
    if mirrors.get(part.part_class) == needed.part_class:
        return "mirror image of this hub"
    return f"class {part.part_class} where class {needed.part_class} belongs"
