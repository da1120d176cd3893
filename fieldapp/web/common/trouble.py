"""What is wrong with the laptop's log: said to every phone in its language, and to the laptop's terminal with paths."""

import logging
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from flask import g, request

from fieldapp.base.errors import Fault, StoreError
from fieldapp.log.book import SiteBook
from fieldapp.log.faults import LASTING
from fieldapp.web.common.context import site
from fieldapp.web.common.i18n import _, in_words, ngettext
from fieldapp.web.common.rights import is_chief
from fieldapp.wording.stick import stick_said

HALT_SHOWN = timedelta(minutes=2)
"""How long after a write that failed phones are told of it. A phone in which entries wait tries every few seconds."""
SAID_AGAIN = timedelta(minutes=5)
"""After which the terminal says the same once more, if it is still so."""

_terminal = logging.getLogger("raisebook")


def trouble_words(book: SiteBook, now: datetime) -> tuple[str, ...]:
    """A line for each trouble; empty if there is none."""
    behind, clashes, halt = book.clock_behind(now), len(book.state.clashes), book.halt
    lines = []
    if halt is not None and (halt.fault in LASTING or book.only_reads or abs(now - halt.at) < HALT_SHOWN):
        lines.append(_("Nothing can be written down just now: {reason} What you press waits in your phone. Tell "
                       "whoever has the laptop.").format(reason=fault_words(halt.fault)))
    if behind is not None:
        lines.append(_("The laptop's clock is {minutes} min behind the last entry. Set it right; entries are kept in "
                       "their order all the same.").format(minutes=max(1, round(behind.total_seconds() / 60))))
    if book.way_trouble is not None:
        lines.append(_("The way of raising that the log chose is not followed: {reason}").format(
            reason=in_words(book.way_trouble)))
    if clashes:
        lines.append(ngettext("{count} entry had no effect, because another laptop's came first. Tell the chief.",
                              "{count} entries had no effect, because another laptop's came first. Tell the chief.",
                              clashes).format(count=clashes))
    return tuple(lines)


def told_here() -> tuple[str, ...]:
    """The same for the phone that asks; the chief's is told of the stick too."""
    here = site()
    found = here.stick.status() if here.stick is not None and is_chief() else None
    return (*trouble_words(here.book, here.clock()),
            *((in_words(stick_said(found)),) if found is not None and found.fault else ()))


def fault_words(fault: Fault) -> str:
    """One sentence for people who do not have the laptop before them."""
    known = {
        "full": _("The laptop's disk is full."),
        "locked": _("Another program on the laptop has locked the log."),
        "busy": _("The laptop's disk is too slow just now, or another program holds it up."),
        "readonly": _("The laptop may not write the log's file."),
        "io": _("The laptop's disk fails, or was pulled out."),
        "damaged": _("The log's file on the laptop is damaged."),
        "gone": _("The log's file on the laptop was moved or deleted."),
        "closed": _("The laptop is just being stopped."),
        "away": _("The server that keeps the log does not answer."),
        "full_there": _("The disk of the server that keeps the log is full."),
        "readonly_there": _("The server that keeps the log takes nothing from this laptop."),
        "lost_there": _("The server that keeps the log lacks entries that were answered."),
    }
    return known.get(fault, _("The laptop cannot write its log."))


def not_written_words(error: StoreError) -> Sequence[str]:
    """What a phone is told whose press could not be written down: why, what was kept all the same, what to do."""
    kept = written_by_this_request()
    return (
        fault_words(error.fault),
        ngettext("{count} of the entries that you sent was written down before that, the others were not.",
                 "{count} of the entries that you sent were written down before that, the others were not.",
                 kept).format(count=kept) if kept else _("It was not written down."),
        _("Your phone keeps it and sends it by itself until it is written down: leave the phone on, and one of these "
          "pages open.")
        if "sent_at" in request.form else _("Send it again later; nothing counts twice."),
        _("Tell whoever has the laptop: its terminal says what to do."),
    )


def count_written() -> None:
    """To be told of every entry that was written, or was there already."""
    g.written = written_by_this_request() + 1


def written_by_this_request() -> int:
    """How many entries of this request are in the log."""
    kept: int = g.get("written", 0)
    return kept


@dataclass(slots=True)
class Terminal:
    """The laptop's terminal: told what is wrong, with paths, but not by every phone that tries again."""

    said: str = ""
    at: datetime | None = None
    halted: bool = False

    def tell(self, error: StoreError, now: datetime, *, halted: bool) -> None:
        """Say it, unless it was said a short while ago."""
        again = str(error) == self.said or (error.fault == "busy" and self.halted)
        if again and self.at is not None and abs(now - self.at) < SAID_AGAIN:
            return
        self.said, self.at, self.halted = str(error), now, halted
        _terminal.warning("%s %s.", f"{now:%H:%M}", str(error).rstrip("."))

    def relieve(self, now: datetime) -> None:
        """Say that it is over, if it was said that the log takes nothing."""
        if self.halted:
            self.said, self.halted = "", False
            _terminal.warning("%s The log takes entries again.", f"{now:%H:%M}")
