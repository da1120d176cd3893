"""Posters of the site: how to join with a phone, the rules, and the ring chart that is ticked on wet days."""

from collections.abc import Iterable
from pathlib import Path

from fieldapp.base.errors import PaperError
from fieldapp.base.words import _
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.kit import Kit
from fieldapp.plan.plan import Plan
from fieldapp.prints.booklet.booklet import name_warnings
from fieldapp.prints.common.book import Book, printed_name
from fieldapp.prints.common.language import in_kit_language
from fieldapp.prints.posters.join import join_page
from fieldapp.prints.posters.rings import rings_pages
from fieldapp.prints.posters.rules import rules_page
from labels import LabelError
from labels.page import About, Page
from labels.page_pdf import document_bytes
from labels.pieces import Warned


@in_kit_language
def write_posters(kit: Kit, plan: Plan, folder: Path, *, wind_limit_m_s: float | None = None,
                  join_code: str = "") -> tuple[Warned, ...]:
    """Write `join.pdf`, `rules.pdf` and `rings.pdf` into a folder.

    Parameters
    ----------
    kit : Kit
        Its design gives paper, address and Wi-Fi; without a Wi-Fi there are lines to write it on.
    plan : Plan
    folder : Path
        Made if need be.
    wind_limit_m_s : float or None
        Lowest gust that a stage of the plan bears, for the rule about wind; None if it is not computed. [m/s]

    Returns
    -------
    tuple of Warned
        What is printed otherwise than written in the design, and why.

    Raises
    ------
    PaperError
        If a text has characters that the font lacks.
    KitError
        If a file cannot be written.
    """
    book = Book(kit, plan, printed_name(kit)[0], wind_limit_m_s)
    name = kit.design.frame.name
    join_title = _("{name}: join with your phone").format(name=name)
    _write(folder / "join.pdf", book, (join_page(book, join_code),), join_title)
    _write(folder / "rules.pdf", book, (rules_page(book),), _("{name}: rules of the site").format(name=name))
    _write(folder / "rings.pdf", book, rings_pages(book), _("{name}: ring chart").format(name=name))
    return name_warnings(kit)


def _write(path: Path, book: Book, pages: Iterable[Page], title: str) -> None:
    """One poster."""
    about = About(title, _("Poster"), (book.kit.design.frame.name, book.kit.design.frame.prefix))
    try:
        content = document_bytes(pages, book.paper_mm, about)
    except LabelError as error:
        raise PaperError(str(error)) from error
    write_atomic(path, content)
