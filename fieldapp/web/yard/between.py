"""Parts between kits: asked, half moved, there, on the way back; each with the press that is right now."""

from dataclasses import dataclass

from flask import Blueprint, abort, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from fieldapp.base.said import say
from fieldapp.log.entry import Entry, Refusal
from fieldapp.log.loans import Loan
from fieldapp.reports.pool.alike import alike
from fieldapp.reports.pool.lenders import lenders
from fieldapp.reports.pool.moves import moves
from fieldapp.reports.pool.record import Transfer
from fieldapp.reports.readiness.making import ClassKey, class_keys
from fieldapp.web.common.context import clock_now
from fieldapp.web.common.i18n import _, in_words
from fieldapp.web.common.rights import is_chief
from fieldapp.web.yard import pooling
from fieldapp.web.yard.kits import YardKit, yard
from fieldapp.web.yard.spare import chief_only, refused

bp = Blueprint("between", __name__)


@dataclass(frozen=True, slots=True)
class TransferLine:
    """One part between two kits."""

    key: str
    part: str
    words: str
    look: str
    acts: tuple[tuple[str, str, bool], ...]
    """(name, words, whether it is the act that is right now) of what may be pressed."""


@bp.get("/between")
def page() -> str:
    """What two logs tell differently first, then what is asked, then what is elsewhere."""
    found = moves(pooling.plain_kits())
    return render_template("yard/between.html", lines=tuple(map(move_line, found)), chief=is_chief(),
                           done=request.args.get("done", "")[:20])


@bp.post("/between/<act>")
def press(act: str) -> ResponseReturnValue:
    """Complete it, take back the half of it, send it home, take it in."""
    if not is_chief():
        return refused(chief_only(), url_for("between.page"))
    key = request.form.get("loan", "")
    one = next((move for move in moves(pooling.plain_kits()) if move.key == key), None)
    if one is None or act not in dict(_acts(one)):
        return redirect(url_for("between.page"), 303)       # somebody was faster
    answer = _done(act, one)
    return refused(answer, url_for("between.page")) if isinstance(answer, Refusal) else \
        redirect(url_for("between.page", done=one.part), 303)


def move_line(one: Transfer) -> TransferLine:
    """In words, with what may be pressed."""
    acts, look = _acts(one), "waits" if one.stage == "asked" else "fitted" if one.whole else "stop"
    return TransferLine(one.key, one.part, in_words(one.words), look, tuple(
        (name, words, number == 0 and name != "unask") for number, (name, words) in enumerate(acts)))


def _acts(one: Transfer) -> tuple[tuple[str, str], ...]:
    """What may be pressed, the likely one first."""
    owner, other = pooling.kit_with(one.lender), pooling.kit_with(one.borrower)
    known = {"took": _("It came: write it down"), "undo": _("It did not go: take that back"),
             "give": _("Give it now"), "lent": _("Write it down there, too"), "back": _("It goes back"),
             "home": _("It is home again"), "unask": _("Ask no more for it")}
    if one.stage == "asked":
        home = owner is not None and owner.book.state.log_away is None
        names: tuple[str, ...] = ("give", "unask") if home else ("unask",)
    else:
        names = {"left": ("took", "undo"), "came": ("lent", "back"), "left back": ("home",),
                 "there": ("back",) if other else ("home",)}[one.stage]
    return tuple((name, known[name]) for name in names)


def _done(act: str, one: Transfer) -> Entry | Refusal:
    owner, other = pooling.kit_with(one.lender), pooling.kit_with(one.borrower)
    if act == "home" and owner is not None:
        return pooling.take_home(_away(owner, one.part), owner, other, one.part)
    if other is None:
        abort(404)
    if act == "back":
        loan = other.book.state.parts[one.part].borrowed
        if loan is None:
            abort(404)
        answer = pooling.give_back(loan, other, one.part)
        away = owner.book.state.parts[one.part].away if owner is not None and not isinstance(answer, Refusal) else None
        return answer if owner is None or away is None or owner.book.state.log_away else \
            pooling.take_home(away, owner, other, one.part)
    if owner is None or act in ("undo", "unask"):
        return _undone(one, owner, other)
    if act == "lent":
        return pooling.ask_log(owner, f"{one.key}-lent-after", "lent", part=one.part, data={
            "loan": one.key, "kit": other.prefix, "title": other.title})
    key = _class_there(owner, other, one.part)
    if key is None:
        abort(404)
    if act == "took":
        return pooling.take_over(one.key, owner, other, one.part, key=key)
    return _given(one, owner, other, key=key)


def _undone(one: Transfer, owner: YardKit | None, other: YardKit) -> Entry | Refusal:
    """Take back the half that stands in a log."""
    if one.stage == "asked":
        ask = next(ask for ask in other.book.state.asks if ask.key == one.key)
        return pooling.withdraw(other, ask.entry, _("not needed any more"))
    if owner is None:
        abort(404)
    return pooling.withdraw(owner, _away(owner, one.part).entry, _("it did not go"))


def _given(one: Transfer, owner: YardKit, other: YardKit, *, key: ClassKey) -> Entry | Refusal:
    """The log is home: the part is given only if its kit stays fit without it, and it is still sound."""
    now = clock_now()
    kits = tuple(pooling.pool_kit(kit, now, patience_s=pooling.LEND_PATIENCE_S) if kit is owner else
                 pooling.plain_kit(kit) for kit in yard().kits)
    here, rest = pooling.others(kits, other.name)
    found = next((found for found in (lenders(here, key, rest, now=now, only=one.part) if here else ())
                  if found.name == owner.name), None)
    if found is None or found.answer != "can":
        return Refusal(found.words if found else say("there is no other kit of that name"),
                       say("Take the question back, and ask another kit."))
    return pooling.lend(one.key, owner, other, one.part, key=key)


def _away(owner: YardKit, part: str) -> Loan:
    loan = owner.book.state.parts[part].away
    if loan is None:
        abort(404)
    return loan


def _class_there(owner: YardKit, other: YardKit, part: str) -> ClassKey | None:
    """As which class of the borrower it stands in."""
    of, kit = owner.book.state.part(part), other.book.site.kit
    return next((key for key in class_keys(kit) if key[0] == of.kind
                 and alike(owner.book.site.kit, kit, key).has(of)), None)
