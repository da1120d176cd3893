"""What an adoption comes to, in lines for the terminal."""

from collections import Counter
from collections.abc import Iterable, Iterator

from fieldapp.adopt.adoption import Adoption
from fieldapp.adopt.table import TABLE
from fieldapp.base.said import in_words, listed
from fieldapp.kit.kit import Part
from fieldapp.statics.untested import untested_said

MOST_NAMED = 12
"""Rows and classes named one by one (in no formula)."""


def adoption_lines(found: Adoption) -> Iterator[str]:
    """Counts first; then what is to be made, to be looked at again, foreign; last what nobody knows."""
    spares = [one for one in found.adopted if found.kit.part(one.part).is_spare]
    own = sum(found.kit.part(one.part).own_mark for one in found.adopted)
    yield (f"Adopted: {len(found.adopted) - len(spares)} pieces at a place, {len(spares)} spares, {len(found.foreign)} "
           f"foreign. {own} keep a mark of their own and need no label of ours; what became what: {TABLE}")
    yield f"To be made: {_classes(found.to_make) or 'nothing'}"
    if found.to_make:
        yield "Stock and cut list are those of the whole kit: saw only what is to be made."
    unsure = [one for one in found.adopted if one.piece.also]
    if unsure:
        yield (f"A tape does not part all classes: {len(unsure)} struts may be of another one (may_be_class in the "
               f"list). Where one does not go in without force, it is of the other.")
    if found.foreign:
        rows = listed(dict.fromkeys(one.row.where for one in found.foreign), most=MOST_NAMED)
        yield f"Foreign, of no length or arms of this frame: {rows}"
    shared = Counter(code for one in found.adopted for code in one.carried.codes)
    several = [f"'{code}' ({count} parts)" for code, count in shared.items() if count > 1]
    if several:
        yield f"On several parts: {listed(several, most=MOST_NAMED)}. Typing one of these asks which part it is."
    if not any(part.kind == "hub" for part in found.kit.parts if part not in found.to_make):
        yield "No hub was listed: all hubs are told as to be made."
    said = untested_said(found.kit.design)
    if said is not None:
        yield f"Strength: unknown, {in_words(said)}. No limit is told and nothing is green until some are broken."


def _classes(parts: Iterable[Part]) -> str:
    counted = Counter((part.kind, part.part_class, part.cut_length_mm) for part in parts)
    return listed([f"{count} {kind}{'s' if count > 1 else ''} {name}" + (f" of {mm:.1f} mm" if mm else "")
                   for (kind, name, mm), count in sorted(counted.items(), key=lambda pair: pair[0][:2])],
                  most=MOST_NAMED)
