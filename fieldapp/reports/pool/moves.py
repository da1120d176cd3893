"""Parts between kits, as the logs of all of them tell: asked, half moved, there, on the way back."""

from collections.abc import Iterator, Sequence

from fieldapp.base.said import Said, say
from fieldapp.log.loans import Loan
from fieldapp.log.state import State
from fieldapp.reports.pool.record import PoolKit, Transfer, TransferStage


def moves(kits: Sequence[PoolKit]) -> tuple[Transfer, ...]:
    """All that is not home; what two logs tell differently comes first, then what is asked."""
    by_letters = {kit.letters: kit for kit in kits}
    found = [*_lent(by_letters), *_borrowed(by_letters), *_asked(kits)]
    return tuple(sorted(found, key=lambda one: (one.whole, one.stage != "asked", one.since, one.part)))


def _lent(kits: dict[str, PoolKit]) -> Iterator[Transfer]:
    """What a kit's own log says it gave away."""
    for kit in kits.values():
        for part, past in kit.state.parts.items():
            if past.away is None or past.borrowed is not None or past.condition == "scrapped":
                continue
            other = kits.get(past.away.kit)
            taken = _loan_there(other.state, part, past.away.key) if other is not None else None
            yield _move(part, kit, past.away, _stage(other, part, past.away, taken=taken))


def _stage(other: PoolKit | None, part: str, loan: Loan, *, taken: Loan | None) -> TransferStage:
    if other is None or taken is None:
        return "left" if other is not None else "there"
    return "left back" if other.state.parts[part].away is not None else "there"


def _loan_there(state: State, part: str, key: str) -> Loan | None:
    past = state.parts.get(part)
    return past.borrowed if past is not None and past.borrowed is not None and past.borrowed.key == key else None


def _borrowed(kits: dict[str, PoolKit]) -> Iterator[Transfer]:
    """What a kit has of another whose log does not tell of it."""
    for kit in kits.values():
        for part, past in kit.state.parts.items():
            if past.borrowed is None or past.away is not None:
                continue
            owner = kits.get(past.borrowed.kit)
            gone = owner.state.parts.get(part) if owner else None
            if gone is not None and (gone.away is None or gone.away.key != past.borrowed.key):
                yield Transfer(past.borrowed.key, part, past.borrowed.kit, kit.letters, "came", past.borrowed.since,
                           _words("came", part, past.borrowed.other, kit.called), whole=False)


def _asked(kits: Sequence[PoolKit]) -> Iterator[Transfer]:
    for kit in kits:
        for ask in kit.state.asks:
            yield Transfer(ask.key, ask.part, ask.kit, kit.letters, "asked", ask.since,
                       _words("asked", ask.part, f"{ask.title} ({ask.kit})", kit.called), whole=True)


def _move(part: str, kit: PoolKit, loan: Loan, stage: TransferStage) -> Transfer:
    words = _words(stage, part, kit.called, loan.other)
    return Transfer(loan.key, part, kit.letters, loan.kit, stage, loan.since, words, whole=stage == "there")


def _words(stage: TransferStage, part: str, lender: str, borrower: str) -> Said:
    values = {"part": part, "lender": lender, "borrower": borrower}
    return {
        "asked": say("{part} of {lender} is asked for {borrower}: not given before its log is home", **values),
        "left": say("{part} left {lender} for {borrower}, where nobody has written down that it came", **values),
        "came": say("{part} is at {borrower}; the log of {lender} does not know of it", **values),
        "there": say("{part} of {lender} is at {borrower}", **values),
        "left back": say("{part} left {borrower}; nobody has written down that it is home at {lender}", **values),
    }[stage]
