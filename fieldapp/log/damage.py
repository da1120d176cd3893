"""What can break, by kind of part: the choices a phone offers, and what each needs to be told."""

from dataclasses import dataclass
from typing import Literal

from fieldapp.base.said import Said, say
from fieldapp.base.words import marked
from fieldapp.kit.kit import PartKind


@dataclass(frozen=True, slots=True)
class Damage:
    """One choice."""

    name: str
    words: Said
    where: Literal["arm", "end", ""] = ""
    """What must be said besides: the arm as marked on the hub, or the strut's end."""
    there: str = ""
    """The words with that arm or end named."""
    label_only: bool = False
    """True if the part itself is none the worse."""
    always_bad: bool = False
    """True if there is no slight one."""


HUB_DAMAGES = (
    Damage("arm_snapped", say("arm snapped"), "arm", marked("arm {arm} snapped"), always_bad=True),
    Damage("arm_cracked", say("arm cracked"), "arm", marked("arm {arm} cracked")),
    Damage("arm_loose", say("arm loose"), "arm", marked("arm {arm} loose")),
    Damage("glue_open", say("glue line open")),
    Damage("hole_torn", say("hole torn"), "arm", marked("hole torn at arm {arm}")),
    Damage("soaked", say("soaked or swollen")),
    Damage("label_gone", say("label gone"), label_only=True),
    Damage("other", say("something else")),
)
STRUT_DAMAGES = (
    Damage("end_crushed", say("end crushed"), "end", marked("end {end} crushed")),
    Damage("end_split", say("end split"), "end", marked("end {end} split")),
    Damage("buckled", say("buckled or kinked"), always_bad=True),
    Damage("split", say("split along its length")),
    Damage("dented", say("dented")),
    Damage("hole_torn", say("hole torn"), "end", marked("hole torn at end {end}")),
    Damage("soaked", say("soaked or swollen")),
    Damage("label_gone", say("label gone"), label_only=True),
    Damage("other", say("something else")),
)


def damages(kind: PartKind) -> tuple[Damage, ...]:
    """The choices for a hub or a strut, in the order a phone shows them."""
    return HUB_DAMAGES if kind == "hub" else STRUT_DAMAGES


def damage_named(kind: PartKind, name: str) -> Damage | None:
    """The choice called `name`, or None if this kind of part has no such choice."""
    return next((damage for damage in damages(kind) if damage.name == name), None)
