"""The kit: every physical part with an ID for life. Where a part sits is separate (place is not part)."""

from dataclasses import dataclass, field
from typing import Literal

from fieldapp.base.errors import PartIdError
from fieldapp.base.said import Said, say
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.frame.struts import StrutSection

PartKind = Literal["hub", "strut"]


def kind_said(kind: PartKind) -> Said:
    """What a kind of part is called."""
    return say("hub") if kind == "hub" else say("strut")


@dataclass(frozen=True, slots=True)
class Part:
    """One physical hub or strut."""

    id: str
    """As printed, e.g. `OH-S073-K`."""
    kind: PartKind
    number: int
    part_class: str
    made_for: str | None
    """The place it was made for; None for a spare."""
    mass_kg: float
    cut_length_mm: float | None
    """Struts only [mm]."""
    alias: str = ""
    """What it carried before it came into this kit, old mark and paint: printed beside the ID."""
    arms: tuple[tuple[float, float], ...] = ()
    """Of a hub of another kit: (direction clockwise, dip) of each arm by the numbers that it is marked with [deg]."""
    own_mark: bool = False
    """True if what it carries tells it from all others: it needs no label of ours."""

    @property
    def is_spare(self) -> bool:
        """True for a part made for no place."""
        return self.made_for is None


@dataclass(frozen=True, slots=True)
class Kit:
    """Design, frame and parts; `parts` hubs first, then struts, each by number."""

    design: Design
    frame: Frame
    parts: tuple[Part, ...]
    by_id: dict[str, Part] = field(repr=False, compare=False)
    by_place: dict[str, Part] = field(repr=False, compare=False)
    """The part made for each place."""

    def part(self, part_id: str) -> Part:
        """The part with this printed ID; PartIdError if there is none. For typed text use `kit.ids`."""
        try:
            return self.by_id[part_id]
        except KeyError:
            raise PartIdError(f"{part_id} is not a part of kit {self.design.frame.prefix}; "
                              f"it holds {len(self.parts)} parts") from None

    def strut_of(self, part: Part) -> StrutSection:
        """What a part is made of and how thick it is, by its class; of a hub, what its kit's struts are at first."""
        return self.section_of(part.part_class if part.kind == "strut" else self.frame.strut_classes[0].letter)

    def section_of(self, letter: str) -> StrutSection:
        """The same of a strut class."""
        return self.design.section(self.frame.strut_class(letter).section)

    @property
    def struts(self) -> tuple[StrutSection, ...]:
        """All sections that struts of this kit have, in the order of the classes."""
        return tuple(self.design.section(name) for name in self.frame.sections)

    @property
    def mass_kg(self) -> float:
        """Mass of the frame without spares [kg]."""
        return sum(part.mass_kg for part in self.parts if not part.is_spare)
