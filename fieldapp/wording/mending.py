"""How parts are mended, in words, by kind of part."""

from fieldapp.base.words import _
from fieldapp.kit.kit import Part, PartKind
from fieldapp.log.state import State


def repairs(kind: PartKind) -> tuple[tuple[str, str], ...]:
    """(name in the log, words) of the ways to mend a hub or a strut."""
    if kind == "hub":
        return (("cleat_and_glue", _("cleat and glue")), ("replaced_arm", _("arm replaced")),
                ("scarf", _("scarf joint")), ("dried", _("dried")), ("other", _("something else")))
    return (("scarf", _("scarf joint")), ("sleeve", _("sleeve over it")), ("replaced_end", _("end replaced")),
            ("cleat_and_glue", _("cleat and glue")), ("dried", _("dried")), ("other", _("something else")))


def how_words(name: str) -> str:
    """One of them in words; the name itself if there is no such way."""
    return dict((*repairs("hub"), *repairs("strut"))).get(name, name)


def spots_mended(state: State, part: Part) -> int | None:
    """The arm or end of the only open defect, to be chosen already; None if there is none, or are several."""
    spots = {defect.arm if part.kind == "hub" else defect.end
             for defect in state.parts[part.id].defects if not defect.mended}
    return spots.pop() if len(spots) == 1 else None
