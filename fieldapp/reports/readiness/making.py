"""What to make: so many parts of each class, with all that the saw and the template need."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import accumulate

from fieldapp.base.said import Row, Said, say
from fieldapp.kit.cutting import CutPiece, cut_by_section
from fieldapp.kit.kit import Kit, PartKind
from fieldapp.kit.parts import class_names, cut_length_mm
from fieldapp.kit.sections import told_section

ClassKey = tuple[PartKind, str]
"""Kind and class of a part."""


@dataclass(frozen=True, slots=True)
class MakeRow:
    """Parts of one class to be made."""

    kind: PartKind
    part_class: str
    handed: str | None
    """"left" or "right" for a hub that differs from its mirror image."""
    places: tuple[str, ...]
    """Places that stay empty without them."""
    spares: int
    """How many more, for breakages."""
    cut_length_mm: float | None
    """Struts only [mm]."""
    arms: tuple[tuple[int, float, float], ...]
    """Hubs only: (arm, azimuth from arm 1 clockwise seen from outside, dip) [deg]."""
    section: Said | None = None
    """Of a strut, where the kit has more than one."""

    @property
    def count(self) -> int:
        """How many to make in all."""
        return len(self.places) + self.spares

    @property
    def name(self) -> Said:
        """"2 hubs of class 3L (left-handed)", "1 strut C"."""
        return class_said((self.kind, self.part_class), self.count, self.handed)


@dataclass(frozen=True, slots=True)
class MakingList:
    """Everything to make, hubs first, each in class order."""

    rows: tuple[MakeRow, ...]
    bars: int
    """Bars of stock to buy for the struts."""

    @property
    def said(self) -> Row:
        """"2 hubs of class 3L (left-handed), 1 strut C"; empty if there is nothing to make."""
        return Row(tuple(row.name for row in self.rows))


def making_list(kit: Kit, places: Iterable[str], spares: Mapping[ClassKey, int] | None = None) -> MakingList:
    """What fills `places`, and `spares` beyond that.

    Parameters
    ----------
    kit : Kit
    places : iterable of str
        Places for which there is no part.
    spares : mapping, optional
        (kind, class) → how many more.

    Returns
    -------
    MakingList
    """
    empty: dict[ClassKey, list[str]] = {}
    for place in places:
        empty.setdefault(class_at(kit, place), []).append(place)
    more = Counter(dict(spares or {}))
    rows = tuple(_row(kit, key, tuple(sorted(empty.get(key, ()))), spares=more[key]) for key in class_keys(kit)
                 if key in empty or more[key] > 0)
    return MakingList(rows, _bars(kit, rows))


def class_keys(kit: Kit) -> tuple[ClassKey, ...]:
    """Every class of the frame, hubs first."""
    hubs: list[ClassKey] = [("hub", name) for name in class_names(kit.frame, "hub")]
    return (*hubs, *(("strut", name) for name in class_names(kit.frame, "strut")))


def class_at(kit: Kit, place: str) -> ClassKey:
    """Kind and class that a place takes; FrameError if there is no such place."""
    if place in kit.frame.hub_index:
        return "hub", kit.frame.hub(place).hub_class
    return "strut", kit.frame.strut(place).strut_class


def class_said(key: ClassKey, count: int, handed: str | None = None) -> Said:
    """So many parts of a class, for a person.

    Examples
    --------
    >>> in_words(class_said(("hub", "3L"), 2, "left")), in_words(class_said(("strut", "C"), 1))
    ('2 hubs of class 3L (left-handed)', '1 strut C')
    """
    kind, name = key
    if kind == "strut":
        return say("{n} strut {name}", n=count, name=name) if count == 1 else \
            say("{n} struts {name}", n=count, name=name)
    what = say("{n} hub of class {name}", n=count, name=name) if count == 1 else \
        say("{n} hubs of class {name}", n=count, name=name)
    if handed is None:
        return what
    return say("{what} (left-handed)", what=what) if handed == "left" else say("{what} (right-handed)", what=what)


def handed_of(kit: Kit, key: ClassKey) -> str | None:
    """"left", "right", or None for struts and for hubs that are their own mirror image."""
    return next((c.handed for c in kit.frame.hub_classes if key == ("hub", c.name)), None)


def _row(kit: Kit, key: ClassKey, places: tuple[str, ...], *, spares: int) -> MakeRow:
    kind, name = key
    if kind == "strut":
        centre_mm = kit.frame.strut_class(name).centre_length_mm
        return MakeRow(kind, name, None, places, spares, cut_length_mm(centre_mm, kit.design), (),
                       told_section(kit, name))
    pattern = next(c for c in kit.frame.hub_classes if c.name == name)
    azimuths_deg = accumulate(pattern.gaps_deg[:-1], initial=0.0)
    arms = tuple((number, round(azimuth_deg, 4), dip_deg) for number, (azimuth_deg, dip_deg)
                 in enumerate(zip(azimuths_deg, pattern.dips_deg, strict=True), start=1))
    return MakeRow(kind, name, pattern.handed, places, spares, None, arms)


def _bars(kit: Kit, rows: Iterable[MakeRow]) -> int:
    pieces = [CutPiece(row.part_class, row.cut_length_mm, row.count) for row in rows if row.cut_length_mm is not None]
    return cut_by_section(kit, pieces).bars
