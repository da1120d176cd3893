"""State, parts and entries as plain JSON values."""

from fieldapp.kit.kit import Part
from fieldapp.log.entry import Entry
from fieldapp.reports.raising.progress import may_go_in
from fieldapp.web.cards.place_view import place_view
from fieldapp.web.cards.status import part_status, place_of
from fieldapp.web.common.i18n import retold
from fieldapp.web.common.standing import Standing
from fieldapp.web.raising.start_view import ring_lines


def entry_json(entry: Entry) -> dict[str, object]:
    """One entry."""
    return {"number": entry.number, "key": entry.key, "kind": entry.kind, "part": entry.part, "place": entry.place,
            "who": entry.who, "at": entry.at.isoformat(), "data": dict(entry.data),
            "sent_at": entry.sent_at.isoformat() if entry.sent_at else None}


def part_json(at: Standing, part: Part, *, end: int | None) -> dict[str, object]:
    """One part, its place and its neighbours."""
    place = place_of(at.state, part.id)
    here = at.state.parts[part.id]
    status = part_status(at.plan, at.state, part, place=place)
    return {"id": part.id, "kind": part.kind, "class": part.part_class, "spare": part.is_spare,
            "cut_length_mm": part.cut_length_mm, "mass_kg": part.mass_kg, "condition": here.condition,
            "missing": here.missing, "fitted_at": here.fitted_at, "reasons": list(map(retold, here.reasons)),
            "status": {"shape": status.shape, "word": status.word, "waits_for": list(status.waits_for)},
            "place": _place_json(at, place, end) if place else None}


def _place_json(at: Standing, name: str, end: int | None) -> dict[str, object]:
    view, plan = place_view(at, name, end), at.plan
    return {"name": name, "headline": view.headline, "where": view.where, "ring": view.ring,
            "step": plan.step_for(name).number if name in plan.step_of else None,
            "neighbours": [{"place": n.name, "says": n.says, "fitted": at.state.is_fitted(n.name)}
                           for n in view.neighbours]}


def state_json(at: Standing, *, since: int | None) -> dict[str, object]:
    """What stands now; with `since` the entries after that number in place of the whole."""
    state, rings = at.state, ring_lines(at)
    common: dict[str, object] = {
        "kit": at.kit.design.frame.prefix, "last_number": state.last_number,
        "may_go_now": [place.place for place in may_go_in(at.plan, state)],
        "rings": [{"ring": r.number, "words": r.words, "done": r.done, "total": r.total} for r in rings]}
    if since is not None:
        after = [entry_json(e) for e in state.entries if (e.number or 0) > since]
        return common | {"since": since, "entries": after}
    unsound = {part_id: p.condition for part_id, p in state.parts.items() if p.condition != "sound"}
    missing = sorted(part_id for part_id, p in state.parts.items() if p.missing)
    return common | {"fitted": dict(state.fitted), "allocation": dict(state.allocation), "conditions": unsound,
                     "missing": missing}
