"""Everything that `raisebook make` writes into a kit's folder; last booklet, posters and pocket copy."""

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from fieldapp.base.errors import PlanError
from fieldapp.base.said import in_words
from fieldapp.frame.design import Design
from fieldapp.frame.reason import refuse_beyond_reason
from fieldapp.kit.atomic import all_at_once
from fieldapp.kit.building import hindrances, refuse_what_cannot_be_built
from fieldapp.kit.checklist_defaults import write_checks
from fieldapp.kit.checklist_file import CHECKS_FILE
from fieldapp.kit.cutting import cutting_plan
from fieldapp.kit.file import DESIGN_FILE, KIT_FILE, Made, made_kit, write_kit
from fieldapp.kit.kit import Kit, Part
from fieldapp.kit.site_key import KEY_FILE, site_key
from fieldapp.plan.fitup import FitUp
from fieldapp.plan.kept import keep_plan
from fieldapp.plan.kit_fit import kit_fit
from fieldapp.plan.order import chosen_winds, judged_plan, refused_if_breaking
from fieldapp.prints.booklet import write_booklet
from fieldapp.prints.common.book import Told
from fieldapp.prints.pocket import write_pocket
from fieldapp.prints.posters import write_posters
from fieldapp.prints.sheets.label_kinds import write_kind
from fieldapp.prints.sheets.labels import write_calibration
from fieldapp.prints.tables import write_chosen_tables, write_tables
from fieldapp.prints.terminal import NEW_LABELS, plan_lines, summary
from fieldapp.prints.workshop import WORKSHOP, blank_names, remove_other_blanks, write_workshop
from fieldapp.statics.untested import UNTESTED_GUST_M_S, is_untested
from fieldapp.wording.breaking import breaking_line
from labels.page_pdf import Tell
from labels.pieces import Warned

Report = Callable[[str], None]

BOOKLET, FOLDED = "booklet.pdf", "booklet-to-fold.pdf"
FOLDABLE_STEPS = 130
"""About a hundred pages, 25 sheets: more do not fold into one booklet [steps].
Source: common practice, no source. Test: tests/prints/test_site_paper.py"""
PAGES_A_WORD = 50
"""A long booklet says how far it is after so many pages."""


def make_folder(folder: Path, design: Design, made_on_site: Iterable[Part] = (), *, report: Report) -> tuple[str, ...]:
    """Write `kit.json`, tables and paper of a design; answers with the lines of the summary.

    The order of erection comes first, and on a large frame takes most of the time: parts that cannot be raised are not
    to be labelled. A kit that is labelled already is kept whatever comes out; the first line then says so.

    Parameters
    ----------
    folder : Path
    design : Design
    made_on_site : parts
        As `kit.file.made_kit`.
    report
        Called with a few words before each part of the work.

    Raises
    ------
    RaisebookError
        Then the folder is as it was: all files are written beside it and take their places at once, `kit.json`, which
        makes a kit a labelled one, last.
    """
    report("frame and kit")
    return put_in_folder(folder, made_kit(folder, design, made_on_site), report)


def put_in_folder(folder: Path, made: Made, report: Report, besides: Callable[[Path, Kit], None] | None = None
                  ) -> tuple[str, ...]:
    """Write all that belongs to a kit, at once or not at all; `besides` puts more files into the folder that is given.

    Raises
    ------
    RaisebookError
        As `make_folder`.
    """
    design = made.kit.design
    if not made.was_labelled:
        refuse_beyond_reason(design, made.kit.frame, DESIGN_FILE)
    first = before_anything(made, report)
    report("order of erection, every stage of it")
    if not made.was_labelled:
        refused_if_breaking(made.kit)
    plan = judged_plan(made.kit).plan
    report("cutting plan and tables")
    cutting = cutting_plan(made.kit)
    with all_at_once(folder, KIT_FILE) as ready:
        write_tables(made.kit, cutting, ready / "tables")
        report("workshop sheets and hub blanks")
        write_workshop(made.kit, cutting, ready, plan=plan)
        report(f"labels for {len(made.kit.parts)} parts")
        warnings = _write_labels(made, ready / "paper")
        if not (folder / CHECKS_FILE).exists():
            write_checks(ready, design)
        write_kit(ready, made.kit)
        report("limits of every stage")
        raising = tuple(_raising(ready, made.kit))
        if besides is not None:
            besides(ready, made.kit)
        code = site_key(folder if (folder / KEY_FILE).exists() else ready).join_code
        warnings += write_site_paper(made.kit, ready / "paper", report, join_code=code)
        blanks = blank_names(ready)
    remove_other_blanks(folder, blanks)
    breaks = breaking_line(plan, made.kit.design)
    return (*filter(None, (breaks,)), *first, *summary(made, cutting), *raising,
            *(f"Note: {warning}" for warning in warnings),
            f"Wrote {folder / KIT_FILE}, {folder / 'tables'}, {folder / 'paper'} and {folder / WORKSHOP}")


def before_anything(made: Made, report: Report) -> tuple[str, ...]:
    """What stands against building it: said at once, and first in the summary.

    Raises
    ------
    DesignError
        If it cannot be put together, unless its parts carry labels already: those are told and go on.
    """
    found = hindrances(made.kit.design, made.kit.frame)
    if not made.was_labelled:
        refuse_what_cannot_be_built(found)
    said = tuple(f"Look first: {in_words(each.said)}" for each in found)
    for line in said:
        report(line)
    return said


def _raising(folder: Path, kit: Kit) -> Iterator[str]:
    """Lines about the order of erection, its tables and the plan kept for `raisebook serve`."""
    yield from plan_lines(kit)
    keep_plan(folder, kit.design, judged_plan(kit).plan)
    write_chosen_tables(kit, folder / "tables")


def _write_labels(made: Made, folder: Path) -> tuple[Warned, ...]:
    """Labels of all parts, of those added to a labelled kit, and the sheet that checks the printer."""
    folder.mkdir(exist_ok=True)
    if made.added:
        write_kind(made.kit, folder / NEW_LABELS, "part", part_ids=[part.id for part in made.added])
    write_calibration(made.kit, folder / "printer-check.pdf")
    return write_kind(made.kit, folder / "labels.pdf", "part")


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
        If the chosen order cannot be followed.
    PaperError
        If a text has characters that the font lacks.
    KitError
        If a file cannot be written.
    """
    plan = judged_plan(kit).plan
    told = Told(lowest_wind_m_s(kit), None if is_untested(kit.design) else _fit(kit))
    for name, imposed in ((BOOKLET, False), (FOLDED, True)):
        if imposed and len(plan.steps) > FOLDABLE_STEPS:
            report(f"no {FOLDED}: it would be too thick to fold; staple {BOOKLET}")
            break
        report(name)
        warnings = write_booklet(kit, plan, folder / name, imposed=imposed, told=told,
                                 tell=_teller(name, report))
    report("posters")
    write_posters(kit, plan, folder, wind_limit_m_s=told.wind_limit_m_s, join_code=join_code)
    report("pocket copy")
    write_pocket(kit, plan, folder)
    return warnings


def _fit(kit: Kit) -> FitUp | None:
    """What tolerances do; None for a frame that does not stand by itself."""
    try:
        return kit_fit(kit)
    except PlanError:
        return None


def lowest_wind_m_s(kit: Kit) -> float | None:
    """The lowest gust that a bare stage of the kit's plan bears, held as planned; None if none has an answer. [m/s]

    Where nobody has tested the parts, `UNTESTED_GUST_M_S`.

    What lies flat on the ground counts nothing: it may slide, and falls on nobody.
    """
    if is_untested(kit.design):
        return UNTESTED_GUST_M_S
    steps, winds = judged_plan(kit).plan.steps, chosen_winds(kit)
    first = next((step.number for step in steps if not kit.frame.hub(step.hub).on_ground), 1)
    return min((limit.speed_m_s for limit in winds[first - 1:] if limit is not None), default=None)


def _teller(name: str, report: Callable[[str], None]) -> Tell:
    """Says now and then how far a long booklet is."""
    def tell(done: int, total: int) -> None:
        if done % PAGES_A_WORD == 0 and done < total:
            report(f"{name}, page {done} of {total}")
    return tell
