"""Kits of the yard as pooling asks them, and the pairs of entries by which a part goes from one log to another."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from fieldapp.base.errors import RaisebookError
from fieldapp.base.said import in_words
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.kit.interchange import arm_directions
from fieldapp.log.entry import Entry, Refusal, Request
from fieldapp.log.loans import Loan
from fieldapp.reports.pool.record import Lender, PoolKit
from fieldapp.reports.readiness.making import ClassKey
from fieldapp.web.cards.fitness import ready_now
from fieldapp.web.common.context import clock_now, sender, who
from fieldapp.web.common.rights import is_chief
from fieldapp.web.yard.kits import YardKit, yard

LEND_PATIENCE_S = 30.0
"""How long a press waits until it is known whether the lender stays fit."""


def pool_kit(kit: YardKit, now: datetime, *, patience_s: float = 0.0) -> PoolKit:
    """One kit as it stands, with what is worked out of it by now."""
    site, state = kit.book.site, kit.book.state
    checklist = site.checklist or default_checks(site.kit.design)
    try:
        with kit.app.app_context():
            found = ready_now(site.plan, state, checklist, now=now, patience_s=patience_s)
    except RaisebookError as error:
        return PoolKit(kit.name, site.kit, site.plan, state, checklist, trouble=error.message)
    return PoolKit(kit.name, site.kit, site.plan, state, checklist, found.ready if found else None)


def plain_kit(kit: YardKit) -> PoolKit:
    """One kit as it stands, not judged."""
    site = kit.book.site
    return PoolKit(kit.name, site.kit, site.plan, kit.book.state, site.checklist or default_checks(site.kit.design))


def plain_kits() -> tuple[PoolKit, ...]:
    """All of them, not judged."""
    return tuple(map(plain_kit, yard().kits))


def pool_kits(now: datetime, *, asking: str) -> tuple[PoolKit, ...]:
    """All of them; the one that asks for a part need not be judged."""
    return tuple(plain_kit(kit) if kit.name == asking else pool_kit(kit, now) for kit in yard().kits)


def kit_with(letters: str) -> YardKit | None:
    """The one kit here with these letters; None if there is none, or more than one."""
    found = yard().with_letters(letters)
    return found[0] if len(found) == 1 else None


def ask_log(kit: YardKit, key: str, kind: str, *, data: Mapping[str, object], part: str | None = None
            ) -> Entry | Refusal:
    """Ask a kit's log for an entry, as the phone that presses, with its rights.

    Raises
    ------
    StoreError
        If it could not be written.
    """
    return kit.book.submit(Request(key=key, kind=kind, part=part, who=who(), sender=sender(), chief=is_chief(),
                                   data=data), clock_now())


def lend(loan: str, lender: YardKit, borrower: YardKit, part: str, *, key: ClassKey) -> Entry | Refusal:
    """Out of one log and into the other, by one loan; the first refusal ends it, and what is half done shows."""
    first = ask_log(lender, f"{loan}-lent", "lent", part=part, data=_other(loan, borrower))
    return first if isinstance(first, Refusal) else take_over(loan, lender, borrower, part, key=key)


def take_over(loan: str, lender: YardKit, borrower: YardKit, part: str, *, key: ClassKey) -> Entry | Refusal:
    """The second half: it has come to the borrower, who knows how it is marked."""
    of, kit = lender.book.state.part(part), lender.book.site.kit
    return ask_log(borrower, f"{loan}-borrowed", "borrowed", part=part, data={
        **_other(loan, lender), "kind": of.kind, "part_class": key[1], "number": of.number, "mass_kg": of.mass_kg,
        "cut_length_mm": of.cut_length_mm, "arms": arm_directions(kit, of) if of.kind == "hub" else ()})


def ask_for(loan: str, found: Lender, lender: YardKit, borrower: YardKit) -> Entry | Refusal:
    """Asked, not given: only the borrower's log tells of it."""
    return ask_log(borrower, f"{loan}-asked", "asked_for", data={**_other(loan, lender), "part": found.part})


def give_back(loan: Loan, borrower: YardKit, part: str) -> Entry | Refusal:
    """It leaves for its own kit."""
    return ask_log(borrower, f"{loan.key}-back", "given_back", part=part, data=_of(loan))


def take_home(loan: Loan, owner: YardKit, borrower: YardKit | None, part: str) -> Entry | Refusal:
    """It is home; how it fared is read from the borrower's log, where that is here."""
    past = borrower.book.state.parts.get(part) if borrower is not None else None
    how = past if past is not None and past.borrowed is not None and past.borrowed.key == loan.key else None
    reasons = "; ".join(in_words(words) for words in how.reasons) if how else ""
    condition = "watch" if how is None or (how.condition == "sound" and how.capacity) else how.condition
    return ask_log(owner, f"{loan.key}-home", "home_again", part=part, data={
        **_of(loan), "condition": condition, "missing": bool(how and how.missing), "words": reasons[:2000]})


def withdraw(kit: YardKit, key: str, reason: str) -> Entry | Refusal:
    """Take back the half that was written down."""
    return ask_log(kit, f"{key}-undone", "withdrawn", data={"entry": key, "reason": reason})


def _other(loan: str, kit: YardKit) -> dict[str, object]:
    return {"loan": loan, "kit": kit.prefix, "title": kit.title}


def _of(loan: Loan) -> dict[str, object]:
    return {"loan": loan.key, "kit": loan.kit, "title": loan.title}


def others(kits: Sequence[PoolKit], name: str) -> tuple[PoolKit | None, tuple[PoolKit, ...]]:
    """The kit of this name, and the rest."""
    return next((kit for kit in kits if kit.name == name), None), tuple(kit for kit in kits if kit.name != name)
