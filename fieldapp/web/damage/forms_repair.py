"""What the repair page sends: how, by whom, at which arm or end, usable from when, how strong."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from fieldapp.kit.kit import PartKind
from fieldapp.web.common.context import tidy
from fieldapp.web.common.forms import MAX_WORDS_CHARS, number_or_none
from fieldapp.web.common.i18n import _

WAITS_H = (0, 1, 4, 12, 24, 48)
"""Hours from now that are offered for glue or drying; the maker's sheet decides which."""


@dataclass(frozen=True, slots=True)
class RepairForm:
    """One repair as it was told."""

    how: str = ""
    by: str = ""
    where: int | None = None
    wait_h: int = 0
    usable_from: datetime | None = None
    share: int | None = None
    """What the mended arm or end can take [% of a sound one]; None: as a sound one."""
    words: str = ""
    problem: str = ""
    """What could not be read, in words."""

    def data(self, kind: PartKind) -> Mapping[str, object]:
        """As the log keeps it."""
        found: dict[str, object] = {"how": self.how, "by": self.by, "words": self.words}
        if self.where is not None:
            found["arm" if kind == "hub" else "end"] = self.where
        if self.usable_from is not None:
            found["usable_from"] = self.usable_from.isoformat()
        if self.share is not None:
            found["capacity"] = self.share / 100.0
        return found


def repair_form(form: Mapping[str, str], now: datetime) -> RepairForm:
    """Read the fields; `now` carries the laptop's zone, in which a time without zone was meant."""
    usable_from, problem = _usable_from(form, now)
    share = number_or_none(form.get("share", "").strip())
    if form.get("share", "").strip() and (share is None or share > 100):
        problem = _("The strength must be a whole number from 0 to 100, got {text}.").format(text=form["share"][:12])
        share = None
    wait = number_or_none(form.get("wait_h", "")) or 0
    return RepairForm(how=tidy(form.get("how", ""), 40), by=tidy(form.get("by", ""), 80),
                      where=number_or_none(form.get("where", "")), wait_h=wait, usable_from=usable_from, share=share,
                      words=tidy(form.get("words", ""), MAX_WORDS_CHARS), problem=problem)


def _usable_from(form: Mapping[str, str], now: datetime) -> tuple[datetime | None, str]:
    """The typed time in the laptop's zone, or so many hours from now; the typed one counts."""
    typed = form.get("usable_from", "").strip()
    if not typed:
        wait = number_or_none(form.get("wait_h", "")) or 0
        return (now + timedelta(hours=wait) if wait else None), ""
    try:
        at = datetime.fromisoformat(typed)
    except ValueError:
        return None, _("The time must look like {example}, got {text}.").format(
            example=f"{now:%Y-%m-%dT%H:%M}", text=typed[:30])
    return (at if at.tzinfo else at.replace(tzinfo=now.tzinfo)), ""
