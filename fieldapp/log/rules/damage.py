"""Rules for breaking, mending, releasing and scrapping."""

from typing import Literal

from fieldapp.base.said import Row, Share, say
from fieldapp.kit.kit import kind_said
from fieldapp.log.damage import Damage, damage_named, damages
from fieldapp.log.effects import same_spot
from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.kinds import DamagedData, ReasonData, ReleasedData, RepairedData
from fieldapp.log.rules.terms import Admitted, Asked, arm_count, no_such_spot, not_dry, scrapped, spot_said


def damaged(asked: Asked, data: DamagedData) -> Admitted | Refusal:
    """What broke must be one of the choices, with its arm or end; the place where it sits is kept."""
    part = asked.part
    damage = damage_named(part.kind, data.what)
    if asked.past.condition == "scrapped":
        return scrapped(asked)
    if damage is None:
        return refuse("no_such_damage", "'{what}' is no damage of a {kind}.", "Choose one of: {choices}.",
                      what=data.what, kind=kind_said(part.kind), choices=", ".join(d.name for d in damages(part.kind)))
    refusal = _where_missing(asked, damage, data) or no_such_spot(asked, data.arm, data.end)
    if refusal:
        return refusal
    severity = "bad" if damage.always_bad else data.severity
    return Admitted(part.id, _where_it_broke(asked), data.model_copy(update={"severity": severity}))


def repaired(asked: Asked, data: RepairedData) -> Admitted | Refusal:
    """A stated capacity belongs to one arm or one end."""
    if asked.past.condition == "scrapped":
        return scrapped(asked)
    refusal = no_such_spot(asked, data.arm, data.end)
    if refusal:
        return refusal
    if data.capacity is not None and data.arm is None and data.end is None:
        return refuse("which_spot", "a capacity of {capacity} is stated, but not for which {spot}.",
                      "Say which {spot} of {part} was mended.", capacity=Share(data.capacity),
                      spot=spot_said(_spot(asked)), part=asked.called(asked.part.id))
    answers = asked.seen(defect.entry for defect in asked.past.defects if same_spot(defect, data))
    return Admitted(asked.part.id, asked.past.fitted_at, data, answers)


def released(asked: Asked, data: ReleasedData) -> Admitted | Refusal:
    """Only from quarantine, not before the glue is dry, and not silently over an unmended defect."""
    past, name = asked.past, asked.called(asked.part.id)
    if past.condition == "scrapped":
        return scrapped(asked)
    if past.condition != "quarantined":
        return refuse("not_quarantined", "{part} is not quarantined, so there is nothing to release.",
                      "Open {part} to see its condition.", part=name)
    wet = not_dry(asked, say("Release it after that time."))
    if wet:
        return wet
    unmended = tuple(defect.words for defect in past.defects if defect.unsafe and not defect.mended)
    if unmended and not data.words:
        return refuse("unmended", "{part} has damage that nobody has logged as mended: {defects}.",
                      "Log the repair, or say in words why it may be used all the same.", part=name,
                      defects=Row(unmended, "; "))
    answers = asked.seen(defect.entry for defect in past.defects)
    unseen = [defect.words for defect in past.defects
              if defect.unsafe and not defect.released and defect.entry not in answers]
    if unseen:
        return refuse("not_seen", "damage of {part} was written down since this page was loaded: {defects}.",
                      "Look at {part} again, then release it.", part=name, defects=Row(tuple(unseen), "; "))
    return Admitted(asked.part.id, past.fitted_at, data, answers)


def scrapped_for_good(asked: Asked, data: ReasonData) -> Admitted | Refusal:
    """Not while it still carries the frame, and not twice."""
    if asked.past.condition == "scrapped":
        return scrapped(asked)
    if asked.past.fitted_at is not None:
        return refuse("still_fitted", "{part} still sits at place {place}.", "Take it down first.",
                      part=asked.called(asked.part.id), place=asked.past.fitted_at)
    return Admitted(asked.part.id, None, data)


def _where_it_broke(asked: Asked) -> str | None:
    """Where it sits; for a part in the hand, the place that the sender names, e.g. while fitting it there."""
    named = asked.site.kit.by_place.get(asked.request.place or "")
    by_hand = asked.request.place if named is not None and named.kind == asked.part.kind else None
    return asked.past.fitted_at or by_hand


def _spot(asked: Asked) -> Literal["arm", "end"]:
    return "arm" if asked.part.kind == "hub" else "end"


def _where_missing(asked: Asked, damage: Damage, data: DamagedData) -> Refusal | None:
    name = asked.called(asked.part.id)
    if damage.where == "arm" and data.arm is None:
        return refuse("which_arm", "'{what}' of {part} needs the arm.", "Choose arm 1 to {count}, as marked.",
                      what=damage.words, part=name, count=arm_count(asked))
    if damage.where == "end" and data.end is None:
        return refuse("which_end", "'{what}' of {part} needs the end.", "Choose end 1 or end 2, as on its labels.",
                      what=damage.words, part=name)
    if damage.name == "other" and not data.words:
        return refuse("which_words", "'{what}' of {part} needs a few words.", "Write what you see.",
                      what=damage.words, part=name)
    return None
