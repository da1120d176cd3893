"""What can break, by kind of part: the choices a phone offers, and what each needs to be told."""

from dataclasses import dataclass
from typing import Literal

from fieldapp.kit.kit import PartKind


@dataclass(frozen=True, slots=True)
class Damage:
    """One choice."""

    name: str
    words: str
    where: Literal["arm", "end", ""] = ""
    """What must be said besides: the arm as marked on the hub, or the strut's end."""
    label_only: bool = False
    """True if the part itself is none the worse."""
    always_bad: bool = False
    """True if there is no slight one."""


HUB_DAMAGES = (
    Damage("arm_snapped", "arm snapped", "arm", always_bad=True),
    Damage("arm_cracked", "arm cracked", "arm"),
    Damage("arm_loose", "arm loose", "arm"),
    Damage("glue_open", "glue line open"),
    Damage("hole_torn", "hole torn", "arm"),
    Damage("soaked", "soaked or swollen"),
    Damage("label_gone", "label gone", label_only=True),
    Damage("other", "something else"),
)
STRUT_DAMAGES = (
    Damage("end_crushed", "end crushed", "end"),
    Damage("end_split", "end split", "end"),
    Damage("buckled", "buckled or kinked", always_bad=True),
    Damage("split", "split along its length"),
    Damage("dented", "dented"),
    Damage("hole_torn", "hole torn", "end"),
    Damage("soaked", "soaked or swollen"),
    Damage("label_gone", "label gone", label_only=True),
    Damage("other", "something else"),
)


def damages(kind: PartKind) -> tuple[Damage, ...]:
    """The choices for a hub or a strut, in the order a phone shows them."""
    return HUB_DAMAGES if kind == "hub" else STRUT_DAMAGES


def damage_named(kind: PartKind, name: str) -> Damage | None:
    """The choice called `name`, or None if this kind of part has no such choice."""
    return next((damage for damage in damages(kind) if damage.name == name), None)
