"""Groups of parts that may change places, with the ratio of what each place asks to what each part can take."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from fieldapp.frame.frame import BoolArray, FloatArray
from fieldapp.kit.allocate import Group
from fieldapp.kit.interchange import Turn, hub_turns
from fieldapp.kit.kit import Kit, Part
from fieldapp.reports.parts.own_numbers import SOUND, Strength
from fieldapp.reports.readiness.making import class_at, class_keys
from fieldapp.reports.standing.demand import Demand


@dataclass(frozen=True, slots=True, eq=False)
class Seats:
    """Kit, demand and strengths, from which any ratio follows."""

    kit: Kit
    demand: Demand
    strengths: Mapping[str, Strength]
    fitted: Mapping[str, str] = field(default_factory=dict)
    """Place → part that sits in the standing frame: it stays there."""

    def strength(self, part: Part) -> Strength:
        """A part that nobody measured or mended is sound."""
        return self.strengths.get(part.id, SOUND)

    def groups(self, parts: Iterable[Part], places: Iterable[str]) -> tuple[Group, ...]:
        """One group for each class that has places, hubs first."""
        by_class: dict[object, tuple[list[Part], list[str]]] = {key: ([], []) for key in class_keys(self.kit)}
        for part in parts:
            by_class[part.kind, part.part_class][0].append(part)
        for place in sorted(places):
            by_class[class_at(self.kit, place)][1].append(place)
        return tuple(self._group(*both) for both in by_class.values() if both[1])

    def _group(self, parts: list[Part], places: list[str]) -> Group:
        kind, name = class_at(self.kit, places[0])
        ratio = self._hub_ratios(parts, places) if kind == "hub" else self._strut_ratios(parts, places)
        ids = tuple(part.id for part in parts)
        if self.fitted:
            ratio[~self._may_sit(ids, places)] = np.inf
        return Group(f"{kind} {name}", ids, tuple(places), ratio, self._if_made(kind, places))

    def _if_made(self, kind: str, places: list[str]) -> FloatArray:
        """(places,) what a sound part is asked there."""
        if kind == "hub":
            return np.array([max(self.arms_asked(place).values(), default=0.0) for place in places])
        return np.asarray(self.demand.handled.tube[[self.kit.frame.strut_index[place] for place in places]])

    def _may_sit(self, ids: Sequence[str], places: Sequence[str]) -> BoolArray:
        """(parts, places) False where a part sits elsewhere already, or another part sits there."""
        sits = set(self.fitted.values())
        return np.array([[self.fitted.get(place) == part or (place not in self.fitted and part not in sits)
                          for place in places] for part in ids], dtype=bool).reshape(len(ids), len(places))

    def _hub_ratios(self, parts: list[Part], places: list[str]) -> FloatArray:
        """(parts, places) largest over the arms, turned as everybody is told to turn it."""
        worst = self._if_made("hub", places)
        ratio = np.empty((len(parts), len(places)))
        for row, part in enumerate(parts):
            strength = self.strength(part)
            if strength.is_plain:
                ratio[row] = _ratio(worst, strength.whole * strength.trust)
            else:
                ratio[row] = [self.seated(part, place)[1] for place in places]
        return ratio

    def _strut_ratios(self, parts: list[Part], places: list[str]) -> FloatArray:
        rows = [self.kit.frame.strut_index[place] for place in places]
        of = [self.strength(part) for part in parts]
        ratio = np.array([_ratio(self.demand.handled.tube[rows], one.weakest * one.trust) for one in of])
        ratio = ratio.reshape(len(parts), len(places))
        if self.kit.design.hub.held_by.member.arm_of == "strut":
            for end in (1, 2):
                asked = self.demand.handled.arm[rows, end - 1]
                at_end = np.array([_ratio(asked, one.at(end) * one.trust) for one in of]).reshape(ratio.shape)
                ratio = np.maximum(ratio, at_end)
        return ratio

    def arms_asked(self, place: str) -> dict[int, float]:
        """Arm number of a hub place → largest use of a sound arm there over all stages, hands and wind included."""
        frame, use = self.kit.frame, self.demand.handled.arm
        return {arm.number: float(use[frame.strut_index[arm.strut], arm.end - 1]) for arm in frame.hub(place).arms}

    def seated(self, part: Part, place: str) -> tuple[Turn | None, float]:
        """How a hub sits at a place, and its ratio there; infinite if it cannot.

        At its own place by its numbers, elsewhere in the closest of its turns: the one that stickers and pages
        say and that the statics on site take. Why not the turn that suits a weak arm best: the log would have to
        keep it, and a hub turned otherwise than all pages say is a hub fitted wrongly.
        """
        strength, asked = self.strength(part), self.arms_asked(place)
        turns = hub_turns(self.kit, part, place)
        if not turns:
            return None, np.inf
        return turns[0], max(_one(asked[at], strength.at(arm) * strength.trust) for arm, at in turns[0].arms)


def _one(asked: float, left: float) -> float:
    """Asked ÷ left; an arm that is gone may only sit where nothing is asked."""
    return asked / left if left > 0 else np.inf if asked > 0 else 0.0


def _ratio(asked: FloatArray, left: float) -> FloatArray:
    return asked / left if left > 0 else np.full(len(asked), np.inf)
