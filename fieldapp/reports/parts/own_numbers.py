"""What stands, with each part's own numbers: damage, repairs, moisture and measured length, by place."""

from dataclasses import dataclass

from fieldapp.base.remembered import remembered
from fieldapp.frame.frame import Frame
from fieldapp.kit.checklist import Checklist
from fieldapp.log.state import State
from fieldapp.reports.parts.strength import Strength, part_strengths
from fieldapp.reports.parts.weakened import Weakened, weakened


@dataclass(frozen=True, slots=True)
class OwnNumbers:
    """What differs from a frame of sound parts as designed; hashable, places in order."""

    arms: tuple[tuple[str, int, float], ...] = ()
    """(hub place, arm of the place, share of a sound one)."""
    struts: tuple[tuple[str, float], ...] = ()
    """(strut place, share of a sound one)."""
    ends_gone: tuple[tuple[str, int], ...] = ()
    """(strut place, end that carries nothing)."""
    off_mm: tuple[tuple[str, float], ...] = ()
    """(strut place, how much longer than designed its strut was measured)."""


@remembered(8)
def own_numbers(state: State, checklist: Checklist | None) -> OwnNumbers:
    """The numbers of the parts that are fitted now; without a checklist nothing measured is known."""
    weak, frame = weakened(state), state.kit.frame
    strengths = _measured(state, checklist)
    struts = dict(weak.struts)
    for place, one in strengths.items():
        if place in frame.strut_index and one.whole < 1.0:
            struts[place] = min(struts.get(place, 1.0), one.whole)
    gone = {(place, end) for place, ends in weak.ends_gone.items() for end in (ends if len(ends) < 2 else (2,))}
    gone |= {(place, 2) for place, share in struts.items() if share == 0.0 and place not in weak.ends_gone}
    return OwnNumbers(
        tuple((hub, arm, share) for (hub, arm), share in sorted(_arms(frame, weak, strengths).items())),
        tuple(sorted(struts.items())), tuple(sorted(gone)),
        tuple((place, one.off_mm) for place, one in sorted(strengths.items()) if one.off_mm))


def _arms(frame: Frame, weak: Weakened, strengths: dict[str, Strength]) -> dict[tuple[str, int], float]:
    """Damaged arms, and all arms of damp hubs; the worse of both counts."""
    arms = dict(weak.arms)
    for place, one in strengths.items():
        if place in frame.hub_index and one.whole < 1.0:
            for arm in frame.hub(place).arms:
                arms[place, arm.number] = min(arms.get((place, arm.number), 1.0), one.whole)
    return arms


def _measured(state: State, checklist: Checklist | None) -> dict[str, Strength]:
    """Place → numbers of the part there, where a check measured any."""
    measured = {place: part for place, part in state.fitted.items() if state.parts[part].measured}
    if checklist is None or not measured:
        return {}
    strengths = part_strengths(state, checklist, measured.values())
    return {place: strengths[part] for place, part in measured.items()}
