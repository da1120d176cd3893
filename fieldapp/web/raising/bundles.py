"""Parts into bundles: one from its page, or many ticked at once; and what is still out."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.log.entry import Refusal
from fieldapp.log.state import State
from fieldapp.reports.raising import bundles
from fieldapp.reports.standing.strike import Strike, strike
from fieldapp.web.common.context import sender, site, state, tidy
from fieldapp.web.common.forms import number_or_none
from fieldapp.web.common.i18n import _, in_words
from fieldapp.web.common.lookup import find_part
from fieldapp.web.common.page import Shown, shown
from fieldapp.web.common.rights import may_write
from fieldapp.web.common.writing import refused, submit, wish, write_down
from fieldapp.wording.trust import not_scanned, not_scanned_said

bp = Blueprint("bundles", __name__)

MAX_BUNDLE_CHARS = 40
MOST_PARTS = 24
"""Parts that are named of each group; the rest is counted."""

HOW = ("dry", "wet", "dirty", "damaged")


@bp.get("/bundles")
def page() -> str:
    """Every bundle, what lies loose, what still stands, what is missing."""
    out = strike(site().book.site, state())
    return render_template("raising/bundles.html", bundles=out.bundles, strike=out.progress, lying=out.lying,
                           out=len(out.progress.standing) + len(out.lying), groups=_groups(out),
                           last=last_bundle(state(), sender()), here="start")


@dataclass(frozen=True, slots=True)
class StillOut:
    """Parts in no bundle, for one reason."""

    words: str
    shown: Shown


def _groups(out: Strike) -> tuple[StillOut, ...]:
    """What is missing, lies loose, still stands, and what was not fitted at all; the first parts of each."""
    spare = tuple(part for part in out.progress.loose if part not in out.lying)
    found = ((_("Missing"), out.progress.missing), (_("Lies loose, in no bundle"), out.lying),
             (_("Still stands"), out.progress.standing), (_("Not fitted in this raise, in no bundle"), spare))
    return tuple(StillOut(words, shown(parts, MOST_PARTS)) for words, parts in found if parts)


@bp.get("/bundle")
def one() -> str | Response:
    """One bundle: what is in it, and ticks for what goes in."""
    name = _bundle(request.args.get("name", ""))
    if not name:
        return redirect(url_for("bundles.page"), 303)
    out = strike(site().book.site, state())
    standing = tuple(state().fitted[place] for step in out.next for place in step.places)
    lying, coming = heaps(state(), out.lying), heaps(state(), standing)
    others = heaps(state(), (part for part in out.progress.loose if part not in out.lying))
    return render_template("raising/bundle.html", name=name, inside=bundles(state()).get(name, ()), here="start",
                           heaps=lying, coming=coming, others=others,
                           trusted=_trusted(bundles(state()).get(name, ())),
                           fills=may_write() and bool(lying or coming or others),
                           count=number_or_none(request.args.get("count", "")))


def _trusted(inside: tuple[str, ...]) -> str:
    """Which parts of a bundle nobody scanned; empty if none."""
    said = not_scanned_said(not_scanned(state(), inside), most=MOST_PARTS)
    return in_words(said) if said else ""


@bp.post("/bundle")
def fill() -> Response | tuple[str, int]:
    """Write down every ticked part; the first refusal is said, what went before it is kept."""
    name, back = _bundle(request.form.get("name", "")), url_for("bundles.page")
    ticked = [find_part(text).part.id for text in request.form.getlist("part")[:500]]
    if not name or not ticked:
        return refused(Refusal(_("Name the bundle and tick at least one part.")), back)
    for part in ticked:
        answer = submit(wish("stored", part, data=_stored(name), suffix=f"-{part}"))
        if isinstance(answer, Refusal):
            return refused(answer, url_for("bundles.one", name=name))
    return redirect(url_for("bundles.one", name=name, count=len(ticked)), 303)


@bp.get("/store/<text>")
def store(text: str) -> str:
    """Into which bundle, and how did it come in?"""
    part = find_part(text).part
    return render_template("raising/store.html", part=part, last=last_bundle(state(), sender()),
                           names=tuple(bundles(state())), here="part")


@bp.post("/store/<text>")
def stored(text: str) -> Response | tuple[str, int]:
    """One part into a bundle."""
    part = find_part(text).part
    name = _bundle(request.form.get("new", "")) or _bundle(request.form.get("name", ""))
    return write_down(wish("stored", part.id, data=_stored(name)), url_for("part.page", text=part.id))


def _stored(name: str) -> dict[str, object]:
    return {"bundle": name, "came_in": came_in(request.form.getlist("came_in")),
            "words": tidy(request.form.get("words", ""), 500)}


def _bundle(text: str) -> str:
    return tidy(text, MAX_BUNDLE_CHARS)


@dataclass(frozen=True, slots=True)
class Heap:
    """Parts of one class."""

    words: str
    parts: tuple[str, ...]
    ticks: tuple["HeapPart", ...] = ()


@dataclass(frozen=True, slots=True)
class HeapPart:
    """One part to tick."""

    id: str
    unread: bool
    """True if it went in by step and nobody read its label since."""


def heaps(state: State, parts: Iterable[str]) -> tuple[Heap, ...]:
    """By class: struts first, as they are bundled, then hubs."""
    found: dict[tuple[str, str], list[str]] = {}
    for part_id in sorted(set(parts)):
        part = state.part(part_id)
        found.setdefault((part.kind, part.part_class), []).append(part_id)
    order = sorted(found, key=lambda key: (key[0] != "strut", key[1]))
    return tuple(Heap(_words(*key), tuple(found[key]), tuple(
        HeapPart(part, state.parts[part].not_scanned) for part in found[key])) for key in order)


def _words(kind: str, part_class: str) -> str:
    words = _("Struts of class {name}") if kind == "strut" else _("Hubs of class {name}")
    return words.format(name=part_class)


def came_in(ticked: Sequence[str]) -> list[str]:
    """How a part came in: what was ticked; dry if nothing was said of wet."""
    found = [how for how in HOW if how in ticked]
    return found if "wet" in found or "dry" in found else ["dry", *found]


def last_bundle(state: State, sender: str) -> str:
    """The bundle that this phone filled last, which is likely to take the next part too."""
    for entry in reversed(state.entries[-200:]):
        if entry.kind == "stored" and entry.sender == sender and entry.key not in state.withdrawn:
            return str(entry.data.get("bundle", ""))
    return ""
