"""How parts are mended, in words, by kind of part."""

from fieldapp.base.said import Said, Value, say
from fieldapp.kit.kit import Part, PartKind
from fieldapp.log.state import State


def repairs(kind: PartKind) -> tuple[tuple[str, Said], ...]:
    """(name in the log, what it is called) of the ways to mend a hub or a strut."""
    if kind == "hub":
        return (("cleat_and_glue", say("cleat and glue")), ("replaced_arm", say("arm replaced")),
                ("scarf", say("scarf joint")), ("dried", say("dried")), ("other", say("something else")))
    return (("scarf", say("scarf joint")), ("sleeve", say("sleeve over it")), ("replaced_end", say("end replaced")),
            ("cleat_and_glue", say("cleat and glue")), ("dried", say("dried")), ("other", say("something else")))


def how_said(name: str) -> Value:
    """One of them for people to read; the name itself if there is no such way."""
    return {**dict(repairs("hub")), **dict(repairs("strut"))}.get(name, name)


def spots_mended(state: State, part: Part) -> int | None:
    """The arm or end of the only open defect, to be chosen already; None if there is none, or are several."""
    spots = {defect.arm if part.kind == "hub" else defect.end
             for defect in state.parts[part.id].defects if not defect.mended}
    return spots.pop() if len(spots) == 1 else None
