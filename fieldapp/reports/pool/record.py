"""The records of pooling: a kit of the yard as it is asked, what it lacks, what others answer, what is on its way."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from fieldapp.base.said import Said, Value
from fieldapp.kit.checklist import Checklist
from fieldapp.kit.kit import Kit
from fieldapp.log.state import State
from fieldapp.plan.plan import Plan
from fieldapp.reports.readiness import Readiness
from fieldapp.reports.readiness.making import ClassKey


@dataclass(frozen=True, slots=True, eq=False)
class PoolKit:
    """One kit of the yard at one moment."""

    name: str
    """In addresses."""
    kit: Kit
    plan: Plan
    state: State
    checklist: Checklist
    ready: Readiness | None = None
    """None while it is being worked out, or cannot be."""
    trouble: Value = ""
    """Why it cannot be judged."""

    @property
    def letters(self) -> str:
        """That its part IDs begin with."""
        return self.kit.design.frame.prefix

    @property
    def title(self) -> str:
        """What people call it."""
        return self.kit.design.frame.name

    @property
    def called(self) -> str:
        """Both."""
        return f"{self.title} ({self.letters})"


@dataclass(frozen=True, slots=True)
class Shortage:
    """A class of which a kit lacks parts, or has lost some."""

    key: ClassKey
    short: int
    """How many places have no part that may be used; 0 where spares of its own make up for it."""
    lost: tuple[str, ...]
    """Parts of it that are damaged, or missing."""
    left: int
    """Spares of its own that are left."""


LendAnswer = Literal["can", "asked", "no", "wait"]


@dataclass(frozen=True, slots=True)
class Lender:
    """What a kit answers to the question for a part."""

    name: str
    called: str
    answer: LendAnswer
    words: Said
    part: str = ""
    """The one it would lend."""
    left: int = 0
    """How many more it could."""
    minds: tuple[Said, ...] = field(default=())
    """What is to be minded before its own day."""


TransferStage = Literal["asked", "left", "came", "there", "left back"]


@dataclass(frozen=True, slots=True)
class Transfer:
    """A part between two kits, as their two logs tell."""

    key: str
    part: str
    lender: str
    """Letters of the kit that it belongs to."""
    borrower: str
    stage: TransferStage
    """Asked; lent in one log and not taken over in the other; taken over and not lent; there; given back, not home."""
    since: datetime
    words: Said
    whole: bool
    """True if both logs tell the same."""
