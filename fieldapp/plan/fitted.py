"""What is in at a stage and what it rests on: all that a stage is judged by, besides the kit."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from fieldapp.frame.frame import Frame
from fieldapp.plan.plan import Plan


@dataclass(frozen=True, slots=True)
class Fitted:
    """What is in at a stage and what it rests on."""

    hubs: tuple[str, ...]
    struts: tuple[str, ...]
    """All that are on at least one of the hubs; those on one only hang loose."""
    stands_on: tuple[str, ...]
    carried_at: tuple[str, ...] = ()
    held: tuple[str, ...] = ()
    """Hubs that people or props hold now."""
    last: tuple[str, ...] = ()
    """Hubs placed last: there somebody still leans and pushes."""
    pegged: tuple[str, ...] = ()
    """Feet that pegs, anchors or ballast keep now."""

    def with_struts(self, struts: Iterable[str]) -> "Fitted":
        """The same hubs with these struts."""
        return replace(self, struts=tuple(struts))


def fitted_after(plan: Plan, count: int) -> Fitted:
    """What is in once `count` steps of a plan are done, its feet held as planned."""
    steps = plan.steps[:count]
    struts = tuple(insertion.strut for step in steps for insertion in step.struts)
    last = steps[-1]
    hubs = tuple(dict.fromkeys(step.hub for step in steps))
    pegged = tuple(foot.hub for foot in plan.held_before(count) if foot.hub in hubs)
    return Fitted(hubs, struts, last.stands_on, last.carried_at, last=(last.hub,), pegged=pegged)


def lies_flat(frame: Frame, fitted: Fitted) -> bool:
    """True if nothing stands above the ground: it falls on nobody, whatever the wind does with it."""
    return all(frame.hub(hub).on_ground for hub in fitted.hubs)
