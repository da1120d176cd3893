"""From a press of a button to the log: who presses, with which rights, once for each key."""

from collections.abc import Mapping

from flask import redirect, render_template, request
from werkzeug.wrappers import Response

from fieldapp.log.entry import Entry, Refusal, Request
from fieldapp.log.opening import follow_way
from fieldapp.web.common.context import sender, site, who
from fieldapp.web.common.forms import checked_key, entry_number, phone_time
from fieldapp.web.common.rights import is_chief
from fieldapp.web.common.trouble import count_written

_OF_ONE_PRESS = frozenset({"key", "knows", "sent_at", "sure"})
"""Fields that belong to one press; the others are sent again by a press that confirms it."""
CHANGES_WAY = frozenset({"way_chosen", "withdrawn"})
"""Kinds after which another way of raising may be in force."""


def wish(kind: str, part: str | None = None, place: str | None = None, *,
         data: Mapping[str, object] | None = None, suffix: str = "") -> Request:
    """What this phone asks for, with the key of the form it pressed and the rights that the server knows of.

    `suffix` tells apart several entries of one form.

    Raises
    ------
    FormError
        If the form brings no key.
    """
    key = checked_key(request.form.get("key")) + suffix
    return Request(key=key, kind=kind, part=part, place=place, who=who(), sender=sender(), chief=is_chief(),
                   sent_at=phone_time(request.form.get("sent_at")), data=data or {},
                   seen=entry_number(request.form.get("knows", "")))


def submit(asked: Request) -> Entry | Refusal:
    """Keep it or refuse it; a way that was chosen is followed at once."""
    answer = site().book.submit(asked, site().clock())
    if isinstance(answer, Entry):
        count_written()
        if answer.kind in CHANGES_WAY:
            follow_way(site().book)
    return answer


def write_down(asked: Request, back: str) -> Response | tuple[str, int]:
    """Submit to the log, then go to `back` and say what was written; or say why not, with status 409."""
    answer = submit(asked)
    return refused(answer, back) if isinstance(answer, Refusal) else gone_back(answer, back)


def refused(refusal: Refusal, back: str) -> tuple[str, int]:
    """The page that says why it was not written down."""
    return render_template("common/refused.html", refusal=refusal, back=back, back_to_part="/p/" in back.lower(),
                           offers_exchange=refusal.code == "exchange_offered", slipped=refusal.code == "too_soon",
                           sent=_sent_again(), here=""), 409


def gone_back(entry: Entry, back: str) -> Response:
    """To the page `back`, which reads the entry back."""
    return redirect(f"{back}{'&' if '?' in back else '?'}done={entry.key}", 303)


def _sent_again() -> list[tuple[str, str]]:
    """The fields of the form, but for those of the press itself."""
    return [(name, value) for name, value in request.form.items(multi=True) if name not in _OF_ONE_PRESS]
