"""The ways of raising with what the statics say of each: computed once, beside the pages, and kept."""

from dataclasses import dataclass

from fieldapp.base.remembered import remembered
from fieldapp.kit.kit import Kit
from fieldapp.web.common.beside import beside
from fieldapp.web.common.context import site

CHOICE_PATIENCE_S = 30.0
"""How long the chief's choice waits for them."""


@dataclass(frozen=True, slots=True)
class WayLine:
    """One way, in the words of its report."""

    name: str
    verdict: str
    people: int
    holds_at_most: int
    minutes: int
    breaks: bool
    recommended: bool
    may_be_followed: bool
    """False if it breaks arms and the design does not accept that."""


def way_lines(patience_s: float) -> tuple[WayLine, ...] | None:
    """Every way of the kit of this request; None while they are being computed.

    Raises
    ------
    RaisebookError
        If the statics have no answer.
    """
    kit = site().kit
    return beside().answer("ways", kit.design, lambda: _judged(kit), patience_s=patience_s)


def way_line(name: str) -> WayLine | None:
    """One way, if it is known by now."""
    lines: tuple[WayLine, ...] = beside().known("ways", site().kit.design) or ()
    return next((line for line in lines if line.name == name), None)


@remembered(2, by=lambda kit: kit.design)
def _judged(kit: Kit) -> tuple[WayLine, ...]:
    from fieldapp.plan.compare import compare  # brings in scipy, which `serve` starts without

    found, accepting = compare(kit), kit.design.raising.accept_breaking
    return tuple(WayLine(
        report.way, report.verdict, report.effort.people, report.effort.holds_at_most,
        round(report.effort.time.total_min), report.judged.breaks, report.way == found.recommended,
        accepting or not report.judged.breaks) for report in found.reports)
