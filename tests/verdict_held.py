"""What a state is held to: no two pages disagree, nothing is green that is not borne, and the page says what then."""

from plain_analysis import judged

from fieldapp.reports.verdict import Pair, places_now, steps_now, verdict_of
from fieldapp.web.cards.status import place_status
from fieldapp.web.common.context import SiteMoment
from fieldapp.web.raising.start import start_view

BORNE, EASILY = 1.0, 0.5
"""Use of the most used bar beyond which nothing may be green, and below which the plain analysis calls it safe."""


def hold(site, state):
    """All that a state is held to."""
    stage = verdict_of(site, state)
    green = {place: verdict_of(site, state, place) for place in stage.places}
    all_agree(site, state, stage)
    for place, found in green.items():
        filled = {*state.fitted} - {place} if state.phase == "striking" else {*state.fitted, place}
        held = [one.hub for one in (*found.hands.before, *found.hands.keep, *found.hands.after)]
        rigid, use = plainly(site, state, filled, held, found.after)
        assert rigid, (place, "is green, and with all that is held it folds")
        assert use <= BORNE, (place, use)
    together_and_by_the_plan(site, state, green)
    if not green and set(state.fitted) != (set() if state.phase == "striking" else set(site.plan.step_of)):
        assert stage.first or stage.way_out, "nothing is green, and nobody says what then"
    safe = safe_by_plain_means(site, state, stage)
    assert green or not safe, (safe, stage.first)


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
    rigid, use = judged(site.kit, [p for p in done if p[0] == "H"], [p for p in done if p[0] == "S"],
                        (ground | held) & done)
    assert use <= BORNE or not rigid, (sorted(green), use, "all at once")


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


def plainly(site, state, filled, held, after):
    """The plain analysis of these places with these hubs held; broken arms and struts bear nothing."""
    frame = site.kit.frame
    gone = {place for place, part in state.fitted.items() for defect in state.parts[part].defects
            if defect.what == "buckled"}
    gone |= {frame.hub(place).arms[defect.arm - 1].strut for place, part in state.fitted.items()
             for defect in state.parts[part].defects if defect.what == "arm_snapped"}
    hubs = [place for place in filled if place[0] == "H"]
    struts = [place for place in filled if place[0] == "S" and place not in gone]
    return judged(site.kit, hubs, struts, {*after.stands_on, *held}, after.carried_at)


def safe_by_plain_means(site, state, stage):
    """Steps whose turn it is by plain reading of the plan, and that the plain analysis bears easily with its holds."""
    plan = site.plan
    sound = {place for place, part in state.fitted.items() if state.parts[part].usable}
    if sound != set(state.fitted) or not bears(site, state, stage):
        return []
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
        rigid, use = judged(site.kit, [p for p in {*sound, *step.places} if p[0] == "H"],
                            [p for p in {*sound, *step.places} if p[0] == "S"], {*step.stands_on, *held} & {
                                *sound, step.hub})
        if rigid and use < EASILY:
            found.append(step.hub)
    return found


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
    rigid, use = judged(site.kit, [p for p in left if p[0] == "H"], [p for p in left if p[0] == "S"],
                        {*before[-1].stands_on, *held})
    return [last.hub] if rigid and use < EASILY else []


def bears(site, state, stage):
    """What stands now, by the plain analysis, with the hubs held that the stage names."""
    if not state.fitted:
        return True
    rigid, use = plainly(site, state, set(state.fitted), [one.hub for one in stage.now.holds], stage.now)
    return rigid and use < EASILY
