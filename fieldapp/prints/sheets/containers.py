"""What boxes, bundles and bags hold, each with a label that lists it."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby, pairwise

from fieldapp.base.words import _, marked
from fieldapp.kit.kit import Kit, Part
from fieldapp.prints.sheets.labels import MOST_BANDS, chosen_parts, short_address, site_text
from fieldapp.wording.carried import beside
from fieldapp.wording.counted import hubs_words, parts_words, struts_words
from labels.label import Label
from labels.listing import capacity

Chunks = Sequence[Sequence[Part]]


def bag_labels(kit: Kit, part_ids: Sequence[str] | None = None) -> tuple[Label, ...]:
    """One bag for the hubs of each ring; its symbol opens the ring's page.

    Parameters
    ----------
    part_ids : sequence of str or None
        IDs as typed; then only the bags that hold one of them.
    """
    hubs = [part for part in kit.parts if part.kind == "hub" and part.made_for is not None]
    return tuple(label for ring, parts in _by_level(kit, hubs)
                 for label in _labels(kit, (_bag(kit, ring), "hub"), _split(kit, parts), f"/RING/{ring}")
                 if _holds(label, kit, part_ids))


def bundle_labels(kit: Kit, part_ids: Sequence[str] | None = None) -> tuple[Label, ...]:
    """Struts of one ring and class, so many to a bundle; the symbol opens the ring's page."""
    struts = [part for part in kit.parts if part.kind == "strut" and part.made_for is not None]
    found: list[Label] = []
    for ring, at_level in _by_level(kit, struts):
        for letter, group in groupby(sorted(at_level, key=lambda p: (p.part_class, p.number)), lambda p: p.part_class):
            bundles = _even(list(group), kit.design.labels.bundle_struts)
            found += _labels(kit, (_bag(kit, ring), "strut", letter), bundles, f"/RING/{ring}")
    return tuple(label for label in found if _holds(label, kit, part_ids))


def box_labels(kit: Kit, part_ids: Sequence[str] | None = None) -> tuple[Label, ...]:
    """A box for the spare hubs and one for the spare struts, or one that holds just the named parts."""
    if part_ids is not None:
        named = list(dict.fromkeys(part for part, _ in chosen_parts(kit, part_ids)))
        return tuple(_labels(kit, (_("BOX"), "part"), _split(kit, named), ""))
    spares = [part for part in kit.parts if part.is_spare]
    return tuple(label for kind, words in (("hub", _("SPARE HUBS")), ("strut", _("SPARE STRUTS")))
                 if (parts := [p for p in spares if p.kind == kind])
                 for label in _labels(kit, (words, kind), _split(kit, parts), ""))


def _by_level(kit: Kit, parts: Iterable[Part]) -> Iterator[tuple[int, list[Part]]]:
    """Ring by ring from the ground."""
    def level_of(part: Part) -> int:
        return kit.frame.level_of(str(part.made_for))

    for ring, group in groupby(sorted(parts, key=lambda part: (level_of(part), part.number)), key=level_of):
        yield ring, list(group)


def _labels(kit: Kit, words: tuple[str, ...], chunks: Chunks, page: str) -> Iterator[Label]:
    """One label for each chunk; words are the headline, hub, strut or part, and the strut class if all have one."""
    headline, what, *letter = words
    bands = {c.letter: c.bands for c in kit.frame.strut_classes}.get(letter[0], 0) if letter else 0
    for number, parts in enumerate(chunks, start=1):
        one_of = _("bundle {n} of {count}") if letter else _("label {n} of {count}")
        count, of = _counted(what, len(parts)), one_of.format(n=number, count=len(chunks))
        lines = (count, *((of,) if len(chunks) > 1 else ()), kit.design.frame.name)
        kind = (_(SEVERAL[what]),) if page or what == "part" else ()
        name = " ".join((headline.capitalize(), *kind, *letter, *((of,) if len(chunks) > 1 else ())))
        band_letter = _("class {name}").format(name=letter[0]) if letter else ""
        yield Label(headline, lines, bands if bands <= MOST_BANDS else 0, band_letter,
                    symbol_text=site_text(kit.design, page), footnote=short_address(kit.design), form="list",
                    contents=tuple(map(_listed, parts)), name=name)


def _listed(part: Part) -> str:
    """A part in a list: its ID, and what it carried before."""
    return beside(part.id, part.alias)


SEVERAL = {"hub": marked("hubs"), "strut": marked("struts"), "part": marked("parts")}


def _bag(kit: Kit, level: int) -> str:
    return _(kit.frame.words.bag).format(n=level)


def _counted(what: str, n: int) -> str:
    """How many hubs, struts or parts."""
    return {"hub": hubs_words, "strut": struts_words}.get(what, parts_words)(n)


def _split(kit: Kit, parts: Sequence[Part]) -> list[Sequence[Part]]:
    """As many parts to a label as it can list."""
    section = kit.design.labels
    return _even(parts, capacity(tuple(map(_listed, parts)), (section.box_width_mm, section.box_height_mm)))


def _even(parts: Sequence[Part], most: int) -> list[Sequence[Part]]:
    """Stretches of at most so many parts, as equal as can be.

    Examples
    --------
    >>> [len(stretch) for stretch in _even(range(21), 10)]
    [7, 7, 7]
    """
    count = -(-len(parts) // most)
    edges = [len(parts) * index // count for index in range(count + 1)] if count else [0]
    return [parts[low:high] for low, high in pairwise(edges)]


def _holds(label: Label, kit: Kit, part_ids: Sequence[str] | None) -> bool:
    """True if a label lists one of the named parts, or none was named."""
    return part_ids is None or any(_listed(part) in label.contents for part, _ in chosen_parts(kit, part_ids))
