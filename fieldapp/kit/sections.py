"""What struts of one section are called where a kit has several: nobody sees from a letter how thick they are."""

from fieldapp.base.materials import material
from fieldapp.base.said import Number, Said, say
from fieldapp.frame.frame import Frame
from fieldapp.frame.struts import StrutSection
from fieldapp.kit.kit import Kit


def section_words(strut: StrutSection) -> Said:
    """"tube of 60 × 4 mm, paper tube", "rod of 48 mm, C24"."""
    of = say(material(strut.material).name)
    if strut.wall_mm is None:
        return say("rod of {outer} mm, {material}", outer=Number(strut.outer_mm, None), material=of)
    return say("tube of {outer} × {wall} mm, {material}", outer=Number(strut.outer_mm, None),
               wall=Number(strut.wall_mm, None), material=of)


def told_section(kit: Kit, letter: str) -> Said | None:
    """The section of a strut class in words; None where all struts are alike."""
    return section_words(kit.section_of(letter)) if len(kit.struts) > 1 else None


def classes_by_section(kit: Kit) -> tuple[tuple[tuple[str, ...], Said], ...]:
    """Letters of the classes of each section, and its words; nothing where all struts are alike."""
    frame = kit.frame
    return () if len(kit.struts) < 2 else tuple(
        (tuple(each.letter for each in frame.strut_classes if each.section == name),
         section_words(kit.design.section(name))) for name in frame.sections)


def drawn_as(frame: Frame, letter: str) -> Said | None:
    """What the drawing calls a strut class, as its maker knows it; None where it calls it nothing."""
    name = frame.strut_class(letter).drawn_as
    return say("\"{name}\" in the drawing", name=name) if name else None


def classes_drawn(frame: Frame) -> tuple[tuple[tuple[str, ...], Said], ...]:
    """Letters of the classes that the drawing calls by one name, and that name."""
    names = dict.fromkeys(each.drawn_as for each in frame.strut_classes if each.drawn_as)
    return tuple((tuple(each.letter for each in frame.strut_classes if each.drawn_as == name),
                  say("\"{name}\" in the drawing", name=name)) for name in names)
