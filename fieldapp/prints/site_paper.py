"""Booklet and posters of a kit, raised in the way that its design chooses."""

from collections.abc import Callable
from pathlib import Path

from fieldapp.kit.kit import Kit
from fieldapp.plan.order import chosen_winds_m_s, judged_plan
from fieldapp.prints.booklet.booklet import write_booklet
from fieldapp.prints.pocket.pocket import write_pocket
from fieldapp.prints.posters.posters import write_posters
from labels.page_pdf import Tell
from labels.pieces import Warned

BOOKLET, FOLDED = "booklet.pdf", "booklet-to-fold.pdf"

FOLDABLE_STEPS = 130
"""About a hundred pages, 25 sheets: more do not fold into one booklet [steps].
Source: common practice, no source. Test: tests/prints/test_site_paper.py"""
PAGES_A_WORD = 50
"""A long booklet says how far it is after so many pages."""


def write_site_paper(kit: Kit, folder: Path, report: Callable[[str], None], *,
                     join_code: str = "") -> tuple[Warned, ...]:
    """Write `booklet.pdf`, `booklet-to-fold.pdf` if it can be folded, the posters and the pocket copy into a folder.

    Parameters
    ----------
    kit : Kit
    folder : Path
        Made if need be.
    report
        Called with a few words before each part of the work.
    join_code
        On the join poster, so that phones that scan it may write.

    Returns
    -------
    tuple of Warned
        What is printed otherwise than written in the design.

    Raises
    ------
    PlanError
        If the chosen order cannot be followed, or breaks arms and the design does not accept that.
    PaperError
        If a text has characters that the font lacks.
    KitError
        If a file cannot be written.
    """
    plan = judged_plan(kit, kit.design).plan
    limit_m_s = lowest_wind_m_s(kit)
    for name, imposed in ((BOOKLET, False), (FOLDED, True)):
        if imposed and len(plan.steps) > FOLDABLE_STEPS:
            report(f"no {FOLDED}: it would be too thick to fold; staple {BOOKLET}")
            break
        report(name)
        warnings = write_booklet(kit, plan, folder / name, imposed=imposed, wind_limit_m_s=limit_m_s,
                                 tell=_teller(name, report))
    report("posters")
    write_posters(kit, plan, folder, wind_limit_m_s=limit_m_s, join_code=join_code)
    report("pocket copy")
    write_pocket(kit, plan, folder)
    return warnings


def lowest_wind_m_s(kit: Kit) -> float | None:
    """The lowest gust that a bare stage of the kit's plan bears; None if no stage has an answer. [m/s]"""
    return min((speed for speed in chosen_winds_m_s(kit, kit.design) if speed is not None), default=None)


def _teller(name: str, report: Callable[[str], None]) -> Tell:
    """Says now and then how far a long booklet is."""
    def tell(done: int, total: int) -> None:
        if done % PAGES_A_WORD == 0 and done < total:
            report(f"{name}, page {done} of {total}")
    return tell
