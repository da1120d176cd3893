"""What a state is held to: no two pages disagree, nothing is green that is not borne, and the page says what then."""

import html
import math
import re

from plain_analysis import Beams, end_use, rigid

from fieldapp.kit import with_parts
from fieldapp.prints.pocket import pocket_page
from fieldapp.reports.exchange import next_tick
from fieldapp.reports.standing import standing
from fieldapp.reports.verdict import Pair, places_now, steps_now, verdict_of
from fieldapp.statics.governs import FREE_END, LAG, PUSH
from fieldapp.web.cards.status import part_status, place_status
from fieldapp.web.common.context import SiteMoment
from fieldapp.web.phone.me import as_of
from fieldapp.web.raising.start import start_view
from fieldapp.wording.status import status_lines

BORNE, EASILY = 1.0, 0.5
"""Use of the most used bar or arm beyond which nothing may be green, and below which plain means call it safe."""


def hold(site, state):
    """All that a state is held to."""
    stage = verdict_of(site, state)
    green = {place: verdict_of(site, state, place) for place in stage.places}
    all_agree(site, state, stage)
    for place, found in green.items():
        filled = {*state.fitted} - {place} if found.act == "out" else {*state.fitted, place}
        held = [one.hub for one in (*found.hands.before, *found.hands.keep, *found.hands.after)]
        assert still_by_geometry(site, state, filled, held, found.after), (place, "is green, and folds, all held")
        use = borne(site, state, filled, kept(state) if found.after.stands else held, found.after)
        assert use <= BORNE, (place, "is green, and something snaps under the weight", use)
    together_and_by_the_plan(site, state, green)
    while_exchanged(site, state, green)
    if not green and set(state.fitted) != (set() if state.phase == "striking" else set(site.plan.step_of)):
        assert stage.first or stage.way_out, "nothing is green, and nobody says what then"
    safe = safe_by_plain_means(site, state, stage)
    assert green or not safe, (safe, stage.first)


def while_exchanged(site, state, green):
    """In the middle of an exchange: its next act alone, and nobody is called to hold who was not named before."""
    if state.exchanging is None:
        return
    tick = next_tick(state, state.exchanging)
    assert set(green) <= ({tick.place} if tick else set())
    for found in green.values() if undisturbed(state) else ():
        hands = (*found.hands.before, *found.hands.keep, *found.hands.after)
        late = {one.hub for one in hands} - {state.exchanging.place, *state.exchanging.holds}
        assert not late, (found.about, "asks for hands that nobody named before it began", late)


def undisturbed(state):
    """True if nothing but its own acts was written down since the exchange began."""
    since = [entry for entry in state.entries if state.index[entry.key].position
             > state.index[state.exchanging.key].position]
    return all(entry.kind in ("fitted", "taken_down") and entry.place in state.exchanging.takes for entry in since)


def leaned_on(site, state):
    """What is told that may be leaned on, lifted unevenly or pushed at a free end: no arm snaps at it."""
    now = standing(site, state)
    if now.verdict in ("nothing stands", "clear"):
        return
    plain = beams(site, state, set(state.fitted), kept(state) if now.stands else now.held_hubs, now)
    hangs = {end.strut: end.hub for end in now.loose_ends}
    for limit in now.limits:
        if not math.isfinite(limit.value) or (limit.kind in (PUSH, LAG) and limit.at not in plain.row):
            continue        # nothing that still bears is tied to it
        use = plain.push_use(limit.at, limit.value) if limit.kind == PUSH else \
            plain.lag_use(limit.at, limit.value) if limit.kind == LAG else \
            end_use(site.kit, limit.at, hangs[limit.at], limit.value) if limit.kind == FREE_END else 0.0
        assert use <= BORNE, (limit, "is told, and an arm snaps at it", use)


def together_and_by_the_plan(site, state, green):
    """All that is green at once, done by several teams; what it rests on and the pegs, by plain reading of the plan."""
    if state.phase == "striking" or state.exchanging or not green:
        return
    plan, sound = site.plan, {place for place, part in state.fitted.items() if state.parts[part].usable}
    for place in green:
        assert set(plan.rests_on(place)) <= sound, place
        feet = [foot.hub for pegging in plan.peggings for foot in pegging.feet
                if pegging.before <= plan.step_for(place).number and foot.hub in state.fitted]
        assert set(feet) <= set(state.held_feet), place
    steps = [verdict_of(site, state, number) for number in steps_now(site, state)]
    if any(plan.steps[number - 1].piece for number in steps_now(site, state)):
        return
    done = {*state.fitted, *(place for step in steps for place in step.places)}
    held = {one.hub for step in steps for one in (*step.hands.before, *step.hands.keep, *step.hands.after)}
    ground = {hub.name for hub in site.kit.frame.hubs if hub.on_ground}
    plain = Beams(site.kit, done, (ground | held) & done)
    assert plain.falls() or max(plain.use(), plain.tube_use()) <= BORNE, (sorted(green), "all at once")


def all_agree(site, state, stage):
    """Place, part, pair, step, stage, the line beside a name and the start page."""
    at, green = SiteMoment(site, state), set(stage.places)
    for place in site.plan.step_of:
        may = verdict_of(site, state, place).may
        assert may == (place in green) == (place_status(at, place).shape == "now"), place
        part = state.fitted.get(place) or state.allocation[place]
        assert verdict_of(site, state, part).may == may, part
    steps = steps_now(site, state)
    for step in site.plan.steps:
        assert bool(green & set(verdict_of(site, state, step.number).places)) == (step.number in steps), step.hub
        assert not verdict_of(site, state, step.number).may or step.number in steps
        told = verdict_of(site, state, step.number)
        assert not told.may or told.places[0] in green, (step.hub, "begins with what may not be done")
    assert all(one.usable for one in places_now(site, state) if one.place in green)
    told = start_view(at, site)
    if state.phase == "striking":
        assert told.next_place is None or told.next_place in green
    else:
        assert told.fresh == green
    if state.phase != "striking" and green:
        strut = next((place for place in green if place[0] == "S"), None)
        if strut is not None:
            hub = site.kit.frame.strut(strut).end_1.hub
            pair = Pair(state.allocation[strut], state.fitted.get(hub) or state.allocation[hub])
            assert verdict_of(site, state, pair).may <= (strut in green or hub in green)
    assert stage.number == state.last_number


def pocket_copy_and_terminal(site, state):
    """What is taken along, and what the terminal prints: what the pages say, and no kept-out part is offered."""
    at = SiteMoment(site, state)
    kit = with_parts(site.kit, state.made.values())
    copy = pocket_page(kit, site.plan, state.allocation, as_of=as_of(at))
    articles = dict(re.findall(r'<article class="place" id="(\w+)"(.*?)</article>', copy, re.DOTALL))
    for place in site.plan.step_of:
        told = place_status(at, place)
        assert f"As of entry {state.last_number}, old by now: {html.escape(told.word)}" in articles[place], place
        assert ("now: May " in articles[place]) == (told.shape == "now"), place
    for part in state.all_parts():
        place, past = state.parts[part.id].fitted_at or state.home_of(part.id), state.parts[part.id]
        page, lines = part_status(at, part, place=place), status_lines(site, state, part)
        assert lines[0] == f"{page.word.rstrip('.')}.", part
        assert lines[-1] == f"As of entry {state.last_number}."
        assert lines[0].startswith("May ") == verdict_of(site, state, part.id).may, part
        row = re.search(rf'<li data-spare="{part.id}">(.*?)</li>', copy, re.DOTALL)
        assert row is None or past.usable or ("<a " not in row[1] and page.word in row[1]), part


def still_by_geometry(site, state, filled, held, after):
    """True if geometry keeps these places with these hubs held; broken arms and struts bear nothing."""
    split, arms = broken(site, state)
    gone = split | {strut for strut, _end in arms}
    return rigid(site.kit.frame, [place for place in filled if place[0] == "H"],
                 [place for place in filled if place[0] == "S" and place not in gone], {*after.stands_on, *held},
                 after.carried_at)


def broken(site, state):
    """Struts that buckled, and arms that snapped off as (strut, end), of what is in."""
    frame, split, arms = site.kit.frame, set(), set()
    for place, part in state.fitted.items():
        for defect in state.parts[part].defects:
            if defect.what == "buckled":
                split.add(place)
            elif defect.what == "arm_snapped":
                strut = frame.strut(frame.hub(place).arms[defect.arm - 1].strut)
                arms.add((strut.name, 1 if strut.end_1.hub == place else 2))
    return split, arms


def kept(state):
    """Hubs that are held whatever the stage asks for: those of an exchange that runs."""
    return state.exchanging.holds if state.exchanging else ()


def beams(site, state, filled, held, after):
    """The stage as stiff-jointed beams, broken arms and struts left out; what hands have bears on nothing."""
    split, arms = broken(site, state)
    inside = {place for place in filled if place not in split and place not in after.in_hand}
    return Beams(site.kit, inside, {*after.stands_on, *held}, carried=after.carried_at, gone=arms)


def borne(site, state, filled, held, after):
    """The most used arm or tube under 1.35 times the weight; infinite where it falls."""
    plain = beams(site, state, filled, held, after)
    return math.inf if plain.falls() else max(plain.use(), plain.tube_use())


def safe_by_plain_means(site, state, stage):
    """Steps whose turn it is by plain reading of the plan, and that the plain analysis bears easily with its holds."""
    plan = site.plan
    sound = {place for place, part in state.fitted.items() if state.parts[part].usable}
    if sound != set(state.fitted) or not bears(site, state, stage):
        return []
    if state.exchanging is not None:
        return safe_act_by_plain_means(site, state)
    if state.phase == "striking":
        return safe_out_by_plain_means(site, state, stage)
    if any(place not in sound for fitted in sound for place in plan.rests_on(fitted)):
        return []
    found = []
    for step in plan.steps:
        pegs = all(foot.hub in state.held_feet for pegging in plan.peggings for foot in pegging.feet
                   if foot.hub in sound and (pegging.before <= step.number or max(
                       plan.step_for(place).number for place in sound) >= pegging.before))
        usable = all(state.parts[state.allocation[place]].usable for place in step.places if place not in sound)
        open_now = not set(step.places) <= sound and set(plan.rests_on(step.hub)) <= sound
        if step.piece or step.joins or step.lift_mm or not (pegs and usable and open_now):
            continue
        held = {*step.holds, *(one.hub for one in stage.now.holds)}
        if is_safe(site, {*sound, *step.places}, {*step.stands_on, *held}):
            found.append(step.hub)
    return found


def safe_act_by_plain_means(site, state):
    """The next act of an exchange, where what stands then is borne easily with the hubs held that it named."""
    tick = next_tick(state, state.exchanging)
    if tick is None or not tick.usable:
        return []
    then = {*state.fitted, tick.place} if tick.goes == "in" else {*state.fitted} - {tick.place}
    ground = {hub.name for hub in site.kit.frame.hubs if hub.on_ground}
    return [tick.place] if is_safe(site, then, ground | set(state.exchanging.holds)) else []


def is_safe(site, places, still):
    """True if it stands by geometry, and easily, with these hubs on the ground or held."""
    still = still & places
    if not rigid(site.kit.frame, [p for p in places if p[0] == "H"], [p for p in places if p[0] == "S"], still):
        return False
    plain = Beams(site.kit, places, still)
    return not plain.falls() and max(plain.use(), plain.tube_use()) < EASILY


def safe_out_by_plain_means(site, state, stage):
    """The last step of which anything is in, where all before it is whole and what is left is borne easily."""
    last = max((step for step in site.plan.steps if set(step.places) & set(state.fitted)),
               key=lambda step: step.number, default=None)
    if last is None or last.piece or last.number == 1:
        return []
    before = site.plan.steps[:last.number - 1]
    left = {place for step in before for place in step.places}
    if left != set(state.fitted) - set(last.places):
        return []
    held = {*before[-1].holds, *(one.hub for one in stage.now.holds)} & left
    return [last.hub] if is_safe(site, left, {*before[-1].stands_on, *held}) else []


def bears(site, state, stage):
    """What stands now, by the plain analysis, with the hubs held that the stage names."""
    if not state.fitted:
        return True
    held = [one.hub for one in stage.now.holds]
    return still_by_geometry(site, state, set(state.fitted), held, stage.now) and borne(
        site, state, set(state.fitted), kept(state) if stage.now.stands else held, stage.now) < EASILY
