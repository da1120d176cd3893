"""Which kit can spare a part: what one kit lacks, what all others answer, and the press by which a part is lent."""

from dataclasses import dataclass
from datetime import datetime

from flask import Blueprint, abort, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from fieldapp.base.said import Said, say
from fieldapp.kit.numbering import short_name
from fieldapp.log.entry import Refusal
from fieldapp.reports.pool.lenders import lenders, needs
from fieldapp.reports.pool.record import Lender, PoolKit, Shortage
from fieldapp.reports.readiness.making import ClassKey, class_keys, class_said, handed_of
from fieldapp.web.common.context import clock_now
from fieldapp.web.common.forms import FormError, checked_key, new_key
from fieldapp.web.common.i18n import _, in_words, ngettext
from fieldapp.web.common.rights import is_chief
from fieldapp.web.yard import pooling
from fieldapp.web.yard.kits import YardKit, yard

bp = Blueprint("spare", __name__)


@dataclass(frozen=True, slots=True)
class AnswerLine:
    """What one kit answers."""

    name: str
    words: str
    look: str
    """Sign beside it."""
    part: str
    """That it would lend, or may be asked for; empty where it cannot."""
    asks: bool
    more: str
    minds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NeedLine:
    """What is lacking, and who could help."""

    head: str
    why: str
    kind: str
    part_class: str
    answers: tuple[AnswerLine, ...]


@bp.get("/spares/<name>")
def page(name: str) -> str:
    """All that a kit lacks, has lost or has broken, each with the answers of the other kits."""
    kit, now = _kit(name), clock_now()
    here, rest = pooling.others(pooling.pool_kits(now, asking=kit.name), kit.name)
    if here is None:
        abort(404)
    found = needs(here, now)
    lines = tuple(need_line(here, need, lenders(here, need.key, rest, now=now)) for need in found)
    return render_template("yard/spares.html", kit=kit, lines=lines, chief=is_chief(), key=new_key(),
                           waits=any(answer.look == "waits" for line in lines for answer in line.answers))


@bp.post("/spares/<name>")
def lend(name: str) -> ResponseReturnValue:
    """Lend it, if its kit still stays fit without it; of a kit whose log is away, ask for it."""
    kit, lender = _kit(name), _kit(request.form.get("from", ""))
    if not is_chief():
        return refused(chief_only(), url_for("spare.page", name=kit.name))
    loan, asked = _loan(), (request.form.get("kind", ""), request.form.get("part_class", ""))
    key = next((key for key in class_keys(kit.book.site.kit) if key == asked), None)
    if key is None:
        abort(404)
    found = _still(kit, lender, key, clock_now())
    if found is None or found.answer not in ("can", "asked"):
        why = found.words if found else say("there is no other kit of that name")
        return refused(Refusal(why, say("Choose another kit.")), url_for("spare.page", name=kit.name))
    answer = pooling.lend(loan, lender, kit, found.part, key=key) if found.answer == "can" else \
        pooling.ask_for(loan, found, lender, kit)
    if isinstance(answer, Refusal):
        return refused(answer, url_for("between.page"))
    return redirect(url_for("between.page", done=found.part), 303)


def _still(kit: YardKit, lender: YardKit, key: ClassKey, now: datetime) -> Lender | None:
    """What the lender answers now, by its log as it stands; it is waited for."""
    all_kits = tuple(pooling.pool_kit(one, now, patience_s=pooling.LEND_PATIENCE_S) if one is lender else
                     pooling.plain_kit(one) for one in yard().kits)
    here, rest = pooling.others(all_kits, kit.name)
    return next((one for one in lenders(here, key, rest, now=now) if one.name == lender.name), None) if here else None


def need_line(here: PoolKit, need: Shortage, found: tuple[Lender, ...]) -> NeedLine:
    """One class in words."""
    count = need.short or len(need.lost)
    what = class_said(need.key, count, handed_of(here.kit, need.key))
    head = say("Lacking: {what}", what=what) if need.short else say("Damaged or missing: {what}", what=what)
    own = ngettext("{n} spare of its own is left.", "{n} spares of its own are left.", need.left).format(n=need.left)
    names = ", ".join(short_name(part, here.letters) for part in need.lost[:6])
    return NeedLine(in_words(head), " ".join(filter(None, (names and f"{names}.", own))), *need.key,
                    tuple(map(answer_line, found)))


LOOKS = {"can": "fitted", "asked": "waits", "wait": "waits", "no": "stop"}


def answer_line(one: Lender) -> AnswerLine:
    """One answer in words."""
    more = ngettext("It could spare {n} more.", "It could spare {n} more.", one.left).format(n=one.left) \
        if one.left else ""
    return AnswerLine(one.name, in_words(one.words), LOOKS[one.answer], one.part, one.answer == "asked", more,
                      tuple(map(in_words, one.minds)))


def refused(refusal: Refusal, back: str) -> tuple[str, int]:
    """Why it was not written down."""
    return render_template("yard/message.html", title=_("Not written down"), back=back, lines=[
        " ".join(filter(None, (_sentence(refusal.why), refusal.what_next)))]), 409


def _sentence(why: object) -> str:
    words = in_words(why) if isinstance(why, Said) else str(why)
    return words[:1].upper() + words[1:] + ("" if words.endswith(".") else ".")


def chief_only() -> Refusal:
    """For whoever is none."""
    return Refusal(say("that needs the chief's rights."), say("Ask the chief, or enter the pass phrase."), "chief_only")


def _kit(name: str) -> YardKit:
    found = yard().named(name) if name else None
    if found is None:
        abort(404)
    return found


def _loan() -> str:
    """Key of the form that was pressed: of both entries."""
    try:
        return checked_key(request.form.get("key"))
    except FormError:
        abort(400)
