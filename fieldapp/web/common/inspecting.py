"""A phone that inspects: where every part that it scans leads as long as it does, and which box its owner took."""

from collections.abc import Mapping
from urllib.parse import urlsplit

from flask import Response, request, url_for

from fieldapp.kit.checklist import Checklist
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.kit.seen_again import SeenAgain
from fieldapp.reports.inspection.again import OldCheck, old_check, old_checks
from fieldapp.web.common.context import sender, site, state, who

INSPECT_COOKIE = "raisebook_inspects"
WORKDAY_S = 14 * 3600
MAX_BOX_CHARS = 40

SEEN = ("scanned", "typed")
MARK_CHARS = 8
TYPED_ON = frozenset({"/", "/find", "/inspect"})
"""Pages with a field for an ID: a part opened from there was typed."""


def inspects() -> bool:
    """True if a round is open and this phone takes part in it; while a raise runs, labels lead to places again."""
    now = state()
    return now.open_round is not None and now.running_raise is None and INSPECT_COOKIE in request.cookies


def own_box() -> str:
    """The box that the owner of this phone has, by the log; empty if none."""
    current = state().open_round
    return current.box_of(sender() or who() or "unknown") if current else ""


def begin(answer: Response) -> Response:
    """This phone inspects from now on, until its owner says otherwise or goes home."""
    answer.set_cookie(INSPECT_COOKIE, "1", max_age=WORKDAY_S, httponly=True, samesite="Lax")
    return answer


def stop(answer: Response) -> Response:
    """This phone inspects no longer."""
    answer.delete_cookie(INSPECT_COOKIE, httponly=True, samesite="Lax")
    return answer


def checklist() -> Checklist:
    """The open round's list, else the kit's; a kit made before there were any gets that of its design."""
    current = state().open_round
    own = (current and current.checklist) or site().book.site.checklist
    return own if own is not None else default_checks(site().kit.design)


def limits_now() -> SeenAgain:
    """After what an inspection is old: by the kit's own list, whatever the open round was opened with."""
    own = site().book.site.checklist
    return own.seen_again if own is not None else SeenAgain()


def why_again(part: str) -> OldCheck | None:
    """Why a part is to be seen again; None if its inspection counts, or there is none in the latest round."""
    return old_check(state(), part, limits_now(), now=site().clock())


def again_now() -> Mapping[str, OldCheck]:
    """All parts that are there and whose inspection in the latest round is old."""
    return {part: why for part, why in old_checks(state(), limits_now(), now=site().clock()).items()
            if not state().parts[part].missing and state().parts[part].condition != "scrapped"}


def seen_how(text: str) -> str:
    """Whether `text` came from a symbol, which holds an address, or was typed.

    Examples
    --------
    >>> seen_how("http://10.0.0.1/P/OH-S073-K.1"), seen_how("s073")
    ('scanned', 'typed')
    """
    return "scanned" if "://" in text else "typed"


def by_label() -> bool:
    """True if this page was opened by the address of a label, whose capitals no link of ours has."""
    return request.endpoint == "part.scanned"


def seen_by_referrer() -> str:
    """How the part page that is shown was opened: by the camera app, by typing; "" by a link or a bookmark."""
    if by_label():
        return "scanned"
    return "typed" if urlsplit(request.referrer or "").path in TYPED_ON else ""


def part_address(text: str, seen: str) -> str:
    """The page on which the part named `text` is inspected; how it was seen counts in this round only."""
    return url_for("inspect.part", text=text, seen=seen or None, round=round_mark() if seen else None)


def round_mark() -> str:
    """What pages say of the open round, so that one of an earlier round counts for nothing; empty without one."""
    current = state().open_round
    return current.key[-MARK_CHARS:] if current else ""


def seen_now(said: Mapping[str, str]) -> str:
    """"scanned" or "typed", if an address or a form says so of the open round; else ""."""
    seen = said.get("seen", "")
    return seen if seen in SEEN and said.get("round", "") == round_mark() else ""


def not_yet_seen() -> int:
    """Parts that are there and were not checked in the open round, or are to be seen again; 0 without one."""
    now, current = state(), state().open_round
    if current is None:
        return 0
    return len(again_now()) + sum(past.round != current.key and not past.missing and past.condition != "scrapped"
                                  for past in now.parts.values())
