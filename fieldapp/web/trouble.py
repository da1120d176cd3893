"""What is wrong with the laptop's log and every phone should know: its clock, and entries without effect."""

from datetime import datetime

from fieldapp.log.book import SiteBook
from fieldapp.web.i18n import _, ngettext


def trouble_words(book: SiteBook, now: datetime) -> tuple[str, ...]:
    """A line for each trouble; empty if there is none."""
    behind, clashes = book.clock_behind(now), len(book.state.clashes)
    lines = []
    if behind is not None:
        lines.append(_("The laptop's clock is {minutes} min behind the last entry. Set it right; entries are kept in "
                       "their order all the same.").format(minutes=max(1, round(behind.total_seconds() / 60))))
    if clashes:
        lines.append(ngettext("{count} entry had no effect, because another laptop's came first. Tell the chief.",
                              "{count} entries had no effect, because another laptop's came first. Tell the chief.",
                              clashes).format(count=clashes))
    return tuple(lines)
