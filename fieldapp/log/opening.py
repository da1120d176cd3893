"""From a kit folder to its open site book."""

from datetime import datetime
from pathlib import Path

from fieldapp.base.errors import KitError, PlanError, StoreError
from fieldapp.base.said import Value, say
from fieldapp.frame.design import Design
from fieldapp.kit.checklist_file import CHECKS_FILE, read_checks
from fieldapp.kit.file import read_kit
from fieldapp.kit.kit import Kit
from fieldapp.log.baggage import erase_photos
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import LOG_NAME
from fieldapp.log.faults import of_the_disk
from fieldapp.log.fold import fold
from fieldapp.log.memory import refuse_moved
from fieldapp.log.reading import read_log
from fieldapp.log.rules import Setting
from fieldapp.log.shared.store import SharedStore
from fieldapp.log.state import State
from fieldapp.plan import Plan, erection_plan
from fieldapp.plan.kept import kept_or, kept_plan
from fieldapp.plan.ways import named


def open_book(folder: Path, *, go_on: bool = False, else_read: datetime | None = None, store: str = "") -> SiteBook:
    """Open kit, plan, checklist and log of a folder that `raisebook make` has written; `go_on` as in `SiteBook.open`.

    `else_read`: the time now; where the disk takes nothing, the log is then opened for reading (`only_reads`).
    `store`: address of the database server that keeps the log, if it is not the folder's own file.

    Raises
    ------
    KitError
        If the folder holds no kit or one that cannot be read, or its checklist breaks a rule.
    StoreError
        If the log cannot be opened.
    """
    kit = read_kit(folder)
    checklist = read_checks(folder) if (folder / CHECKS_FILE).exists() else None
    plan, path = plan_for(kit, None, folder), folder / LOG_NAME
    try:
        book = SiteBook.open(kit, plan, path, checklist=checklist, go_on=go_on) if not store else \
            SiteBook(Setting(kit, plan, checklist), SharedStore.open(store, path, kit, go_on=go_on))
    except (StoreError, KitError) as error:
        if store or else_read is None or any(file.is_dir() for file in (path, path.with_name(f"{path.name}.lock"))):
            raise                       # a folder in the place of a file is no full disk
        book = SiteBook.for_reading(kit, plan, of_the_disk(path, error), path=path, checklist=checklist, now=else_read)
    book.folder = folder
    try:
        if not book.only_reads:
            erase_photos(folder, book.names.forgotten)
        follow_way(book)
    except BaseException:
        book.close()
        raise
    return book


def logged_state(folder: Path, kit: Kit) -> State:
    """What the log of a folder says, whoever may be writing it; the kit as made if there is none yet.

    Raises
    ------
    StoreError
        If the log cannot be read, or was moved to a database server: without it broken parts look sound.
    """
    path = folder / LOG_NAME
    if not path.exists():
        refuse_moved(path)
    return fold(kit, read_log(path, kit) if path.exists() else ())


def logged_setting(folder: Path, kit: Kit, state: State) -> Setting | None:
    """All that the pages of a folder go by, for whoever only asks: checklist, way, whether a raise is to be started.

    None while no plan of the way that is followed is kept: it is worked out by whoever makes or serves the kit.
    """
    plan = kept_plan(folder, with_way(kit.design, state.way))
    checklist = read_checks(folder) if (folder / CHECKS_FILE).exists() else None
    return Setting(kit, plan, checklist, unfit=lambda *_moment: ()) if plan is not None else None


def follow_way(book: SiteBook) -> None:
    """Bring the book's plan to the way that its log chose last; quick if nothing changed.

    To be called after an entry `way_chosen`, its withdrawal, and after another log was taken in. A way that cannot be
    followed keeps no book from opening: it goes by the design's, and `book.way_trouble` says why.
    """
    way = book.state.way
    if way == book.way_followed:
        return
    plan, trouble = followed_plan(book.site.kit, way, book.folder)
    book.follow(plan, way, trouble=trouble)


def followed_plan(kit: Kit, way: str | None, folder: Path | None = None) -> tuple[Plan, Value | None]:
    """The plan of the way that a log chose, or the design's and why that way is not followed.

    A way that is computed to break is followed only if the design accepts that, or breaks by its own way as well.
    """
    try:
        plan = plan_for(kit, way, folder)
    except PlanError as error:
        return plan_for(kit, None, folder), error.message
    if way is None or plan.breaks is None or kit.design.raising.accept_breaking:
        return plan, None
    own = plan_for(kit, None, folder)
    if own.breaks is not None:
        return plan, None
    return own, say("the way '{way}' {verdict}.", way=named(way), verdict=plan.breaks)


def plan_for(kit: Kit, way: str | None, folder: Path | None = None) -> Plan:
    """The plan of a way; None: the design's own. PlanError if its order cannot be followed.

    One that is computed to break is kept, and says so: `Plan.breaks`. With a folder, the plan kept there is taken, or
    the new one kept there.
    """
    def work_out() -> Plan:
        return erection_plan(kit, way)

    return work_out() if folder is None else kept_or(folder, with_way(kit.design, way), work_out)


def with_way(design: Design, way: str | None) -> Design:
    """The design with the way that was chosen on site; None: its own."""
    if way is None:
        return design
    return design.model_copy(update={"raising": design.raising.model_copy(update={"way": way})})
